# embed_files(TARGET HEADER HEADER NAMESPACE NAMESPACE FILES FILE...)
#   Compiles files into TARGET. HEADER, written by hand, declares in NAMESPACE
#     std::span<const EmbeddedFile> EmbeddedFiles();
#   with the EmbeddedFile of core/base/embedded_file.h. Names are those of the files, without
#   folders. A file that changes is compiled in again.
function(embed_files target)
  cmake_parse_arguments(ARG "" "HEADER;NAMESPACE" "FILES" ${ARGN})
  set(blobs "")
  set(declarations "")
  set(rows "")
  set(number 0)
  foreach(path IN LISTS ARG_FILES)
    if(NOT EXISTS "${path}")
      message(FATAL_ERROR "${path} is missing; tools/packages build installs what is needed")
    endif()
    get_filename_component(file "${path}" NAME)
    set(symbol "${target}_embedded_${number}")
    string(APPEND blobs "__asm__(\".pushsection .rodata\\n${symbol}_begin:\\n\"\n"
      "        \".incbin \\\"${path}\\\"\\n${symbol}_end:\\n.popsection\\n\");\n")
    string(APPEND declarations "extern \"C\" __attribute__((visibility(\"hidden\"))) const char "
      "${symbol}_begin[], ${symbol}_end[];\n")
    string(APPEND rows "    {\"${file}\", {${symbol}_begin,\n"
      "     static_cast<std::size_t>(${symbol}_end - ${symbol}_begin)}},\n")
    math(EXPR number "${number} + 1")
  endforeach()
  set(source "${CMAKE_CURRENT_BINARY_DIR}/embedded_files.cc")
  file(CONFIGURE OUTPUT "${source}" @ONLY CONTENT
"// Made by cmake/Embed.cmake.
#include \"@ARG_HEADER@\"

@declarations@@blobs@
namespace @ARG_NAMESPACE@ {

std::span<const EmbeddedFile> EmbeddedFiles() {
  static const EmbeddedFile files[] = {
@rows@  };
  return files;
}

}  // namespace @ARG_NAMESPACE@
")
  set_source_files_properties("${source}" PROPERTIES OBJECT_DEPENDS "${ARG_FILES}")
  target_sources(${target} PRIVATE "${source}")
endfunction()
