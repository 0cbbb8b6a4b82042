# -DSANITIZE=address,undefined (or thread) instruments everything that is built.
if(SANITIZE)
  add_compile_options(-fsanitize=${SANITIZE} -fno-omit-frame-pointer -fno-sanitize-recover=all)
  add_link_options(-fsanitize=${SANITIZE})
endif()
# What the fuzzers reach counts the ways taken through it; that costs the tests little, and one build
# serves both.
if(BUILD_FUZZERS)
  add_compile_options(-fsanitize=fuzzer-no-link)
endif()
