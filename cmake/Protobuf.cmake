# add_proto(TARGET FILE): compiles one .proto of this folder into the build folder and gives the
# generated header to TARGET alone, so that the file format cannot leak into other layers.
function(add_proto target file)
  get_filename_component(stem "${file}" NAME_WE)
  file(RELATIVE_PATH folder "${PROJECT_SOURCE_DIR}" "${CMAKE_CURRENT_SOURCE_DIR}")
  set(out "${PROJECT_BINARY_DIR}/generated")
  set(generated "${out}/${folder}/${stem}.pb.cc" "${out}/${folder}/${stem}.pb.h")
  file(MAKE_DIRECTORY "${out}")
  add_custom_command(
    OUTPUT ${generated}
    COMMAND protobuf::protoc "--proto_path=${PROJECT_SOURCE_DIR}" "--cpp_out=${out}"
            "${CMAKE_CURRENT_SOURCE_DIR}/${file}"
    DEPENDS "${CMAKE_CURRENT_SOURCE_DIR}/${file}" VERBATIM)
  # A library of its own: generated code is not held to the project's warnings.
  add_library(${target}_proto OBJECT ${generated})
  target_include_directories(${target}_proto SYSTEM PUBLIC "${out}")
  target_link_libraries(${target}_proto PUBLIC protobuf::libprotobuf-lite)
  target_link_libraries(${target} PRIVATE ${target}_proto)
endfunction()
