# embed_files(TARGET FILE...)
#   Compiles files into TARGET, which declares `std::span<const EmbeddedFile> EmbeddedFiles()` in
#   daemon/page/embedded_file.h. Names are those of the files, without folders. A file that changes
#   is compiled in again.
function(embed_files target)
  set(blobs "")
  set(declarations "")
  set(rows "")
  set(number 0)
  foreach(path IN LISTS ARGN)
    get_filename_component(file "${path}" NAME)
    set(symbol "proofdrive_embedded_${number}")
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
#include \"daemon/page/embedded_file.h\"

@declarations@@blobs@
namespace proofdrive::daemon {

std::span<const EmbeddedFile> EmbeddedFiles() {
  static const EmbeddedFile files[] = {
@rows@  };
  return files;
}

}  // namespace proofdrive::daemon
")
  set_source_files_properties("${source}" PROPERTIES OBJECT_DEPENDS "${ARGN}")
  target_sources(${target} PRIVATE "${source}")
endfunction()
