# Read by ctest when it lists tests: one entry for each suite of a GoogleTest program, run in one
# process. An entry for each test would start the program two thousand times, and under sanitizers
# starting costs more than most tests do.
#   add_suite_tests(RUNNER PROGRAM PREFIX LABELS TIMEOUT); RUNNER: tests/support/run_suite.sh
function(add_suite_tests runner program prefix labels timeout)
  if(NOT EXISTS "${program}")
    add_test("${prefix}.NOT_BUILT" "${prefix}.NOT_BUILT")
    return()
  endif()
  execute_process(COMMAND "${program}" --gtest_list_tests OUTPUT_VARIABLE list RESULT_VARIABLE result)
  if(NOT result EQUAL 0)
    message(FATAL_ERROR "${program} does not list its tests: ${result}\n${list}")
  endif()
  # Suites begin at the left edge ("Suite." or "Suite/0.  # TypeParam = ..."), tests do not. "[" and
  # ";" occur only in what follows a "#".
  string(REGEX REPLACE "[ ]*#[^\n]*" "" list "${list}")
  string(REGEX MATCHALL "(^|\n)[^ \n][^\n]*\\.(\n|$)" suites "${list}")
  foreach(suite IN LISTS suites)
    string(REGEX REPLACE "[\n.]" "" suite "${suite}")
    add_test("${prefix}.${suite}" "${runner}" "${program}" "${suite}")
    set_tests_properties("${prefix}.${suite}" PROPERTIES LABELS "${labels}" TIMEOUT "${timeout}"
      SKIP_RETURN_CODE 77)
  endforeach()
endfunction()
