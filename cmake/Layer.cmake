# add_layer(NAME [SMALL] MAY_USE LAYER... [PRIVATE LIBRARY...])
#   A static library `proofdrive_NAME` from every .cc below this folder except main.cc. SMALL: users'
#   builds compile it for size.
# add_program(NAME LAYER LAYER MAIN FILE)
#   A program whose code is that layer and whose main is one statement.
#
# Includes are written from the repository root: #include "core/base/result.h".
# With STRICT_LAYERS each layer sees an include folder that holds links to itself and to what it may
# use, so an include that points upward does not compile.

function(_layer_includes name target)
  if(NOT STRICT_LAYERS)
    target_include_directories(${target} PRIVATE "${PROJECT_SOURCE_DIR}")
    return()
  endif()
  set(root "${PROJECT_BINARY_DIR}/strict/${name}")
  file(REMOVE_RECURSE "${root}")
  file(MAKE_DIRECTORY "${root}")
  foreach(layer IN LISTS name ARGN)
    file(CREATE_LINK "${PROJECT_SOURCE_DIR}/${layer}" "${root}/${layer}" SYMBOLIC)
  endforeach()
  target_include_directories(${target} PRIVATE "${root}")
endfunction()

# With PRECOMPILED_HEADERS all layers share one precompiled header with what nearly every file
# includes of the standard library: about a third of the time of a build.
function(_precompile target)
  if(NOT PRECOMPILED_HEADERS)
    return()
  endif()
  if(NOT TARGET proofdrive_prelude)
    file(CONFIGURE OUTPUT "${PROJECT_BINARY_DIR}/prelude.cc" CONTENT "// Carries the precompiled header.\n")
    add_library(proofdrive_prelude OBJECT "${PROJECT_BINARY_DIR}/prelude.cc")
    target_precompile_headers(proofdrive_prelude PRIVATE <algorithm> <array> <charconv> <chrono> <cmath>
      <cstdint> <cstdio> <cstring> <deque> <functional> <limits> <map> <memory> <mutex> <optional>
      <ostream> <set> <span> <string> <string_view> <thread> <tuple> <utility> <variant> <vector>)
    target_link_libraries(proofdrive_prelude PRIVATE project_warnings)
  endif()
  target_precompile_headers(${target} REUSE_FROM proofdrive_prelude)
  # gcc 12 forgets that what it took from a precompiled header are system headers, and warns of their
  # insides. The builds without one (programs, debug) keep these warnings.
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    target_compile_options(${target} PRIVATE -Wno-array-bounds -Wno-restrict -Wno-stringop-overflow
      -Wno-stringop-overread)
  endif()
endfunction()

function(add_layer name)
  cmake_parse_arguments(ARG "SMALL" "" "MAY_USE;PRIVATE" ${ARGN})
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS "${CMAKE_CURRENT_SOURCE_DIR}/*.cc")
  list(FILTER sources EXCLUDE REGEX "/main\\.cc$")
  if(NOT sources)
    message(FATAL_ERROR "layer ${name}: no source files in ${CMAKE_CURRENT_SOURCE_DIR}")
  endif()
  add_library(proofdrive_${name} STATIC ${sources})
  _layer_includes(${name} proofdrive_${name} ${ARG_MAY_USE})
  foreach(layer IN LISTS ARG_MAY_USE)
    target_link_libraries(proofdrive_${name} PUBLIC proofdrive_${layer})
  endforeach()
  target_link_libraries(proofdrive_${name} PRIVATE project_warnings ${ARG_PRIVATE})
  if(ARG_SMALL)  # Nothing of it runs for each frame: a small program is worth more than speed.
    target_compile_options(proofdrive_${name} PRIVATE $<$<CONFIG:Release>:-Os>)
  endif()
  _precompile(proofdrive_${name})
endfunction()

function(add_program name)
  cmake_parse_arguments(ARG "" "MAIN;LAYER" "" ${ARGN})
  add_executable(${name} "${ARG_MAIN}")
  get_target_property(includes proofdrive_${ARG_LAYER} INCLUDE_DIRECTORIES)
  target_include_directories(${name} PRIVATE ${includes})
  target_link_libraries(${name} PRIVATE proofdrive_${ARG_LAYER} project_warnings)
  set_target_properties(${name} PROPERTIES RUNTIME_OUTPUT_DIRECTORY "${PROJECT_BINARY_DIR}/bin")
  install(TARGETS ${name})
endfunction()
