# Compiles what the recipes touch and uses all three: DEVELOPERS.md is right about them.
execute_process(COMMAND "${CMAKE_COMMAND}" --build "${BUILD}" --target recipes
  RESULT_VARIABLE code OUTPUT_VARIABLE log ERROR_VARIABLE log)
if(NOT code EQUAL 0)
  message(FATAL_ERROR "what the recipes say does not compile:\n${log}")
endif()

function(expect pattern)
  execute_process(COMMAND "${PROGRAM}" ${ARGN} WORKING_DIRECTORY "${WORK}"
    OUTPUT_VARIABLE out ERROR_VARIABLE out)
  if(NOT out MATCHES "${pattern}")
    message(FATAL_ERROR "proofdrive ${ARGN} does not say \"${pattern}\":\n${out}")
  endif()
endfunction()

file(WRITE "${WORK}/car.yaml" "vehicle: invented
frames:
  pack:
    id: 0x100
    length: 8
    checksum: {where: byte 7, kind: invented-sum}
")
expect(": 1 frame" lint car.yaml)
file(WRITE "${WORK}/wrong.yaml" "frames: {pack: {id: 1, length: 8, checksum: {where: byte 7, kind: invented-sun}}}\n")
expect("did you mean \"invented-sum\"" lint wrong.yaml)
expect("the invented command ran" invented)
expect("invented +Invented for a test" --help)
expect("the invented check looked" check "${SESSION}" --definitions car.yaml)
