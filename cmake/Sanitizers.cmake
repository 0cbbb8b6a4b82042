# -DSANITIZE=address,undefined (or thread) instruments everything that is built.
if(SANITIZE)
  add_compile_options(-fsanitize=${SANITIZE} -fno-omit-frame-pointer -fno-sanitize-recover=all)
  add_link_options(-fsanitize=${SANITIZE})
  if(BUILD_FUZZERS)  # every object counts its branches, so that all share one precompiled header
    add_compile_options(-fsanitize=fuzzer-no-link)
  endif()
endif()
