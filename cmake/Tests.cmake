# add_tests(NAME FOLDER LAYERS LAYER... [PRIVATE LIBRARY...] [LABELS LABEL...] [EACH])
#   One GoogleTest program from every *_test.cc below FOLDER: a test file cannot be left out of the
#   build by forgetting it. Tests are found when ctest runs, an entry for each suite; with EACH, for
#   each test (few and long ones).
include(GoogleTest)
find_package(GTest REQUIRED)

# Tests cost more to compile than to run: they are not optimised (what they test is, as the build
# says), get line numbers only, and share one precompiled header.
set(test_options -O0 -g1)
# These four cost a third of the time to compile, and look at how the code reaches memory. They stay
# on in everything that is tested; in the tests themselves the address sanitizer sees most of it.
if(SANITIZE MATCHES "undefined")
  list(APPEND test_options -fno-sanitize=null,alignment,object-size,vptr)
endif()
add_library(test_prelude OBJECT "${CMAKE_CURRENT_LIST_DIR}/test_prelude.cc")
target_compile_options(test_prelude PRIVATE ${test_options})
target_link_libraries(test_prelude PRIVATE GTest::gmock GTest::gtest_main project_warnings)
target_precompile_headers(test_prelude PRIVATE <gmock/gmock.h> <gtest/gtest.h> <algorithm> <chrono>
  <filesystem> <functional> <map> <memory> <optional> <random> <span> <string> <vector>)

function(add_tests name)
  cmake_parse_arguments(ARG "EACH" "FOLDER" "LAYERS;PRIVATE;LABELS" ${ARGN})
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS "${CMAKE_CURRENT_SOURCE_DIR}/${ARG_FOLDER}/*_test.cc")
  if(NOT sources)
    message(FATAL_ERROR "no *_test.cc below tests/${ARG_FOLDER}")
  endif()
  add_executable(${name} ${sources})
  target_include_directories(${name} PRIVATE "${PROJECT_SOURCE_DIR}")
  target_compile_options(${name} PRIVATE ${test_options})
  target_precompile_headers(${name} REUSE_FROM test_prelude)
  foreach(layer IN LISTS ARG_LAYERS)
    target_link_libraries(${name} PRIVATE proofdrive_${layer})
  endforeach()
  target_link_libraries(${name} PRIVATE test_support ${ARG_PRIVATE} GTest::gmock GTest::gtest_main
    project_warnings)
  if(ARG_EACH)
    gtest_discover_tests(${name} TEST_PREFIX "${name}." DISCOVERY_MODE PRE_TEST
      PROPERTIES LABELS "${ARG_LABELS}" TIMEOUT 300)
    return()
  endif()
  set(list "${CMAKE_CURRENT_BINARY_DIR}/${name}_suites.cmake")
  file(GENERATE OUTPUT "${list}" CONTENT "include(\"${PROJECT_SOURCE_DIR}/cmake/SuiteTests.cmake\")
add_suite_tests(\"${PROJECT_SOURCE_DIR}/tests/support/run_suite.sh\" \"$<TARGET_FILE:${name}>\" ${name} \"${ARG_LABELS}\" 600)
")
  set_property(DIRECTORY APPEND PROPERTY TEST_INCLUDE_FILES "${list}")
endfunction()
