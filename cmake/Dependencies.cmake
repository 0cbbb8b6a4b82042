# Every library the project uses, found once. Which layer may use which: DEVELOPERS.md.
find_package(Threads REQUIRED)
find_package(Boost 1.81 REQUIRED)   # header-only parts: Asio, Beast, Math
find_package(Protobuf REQUIRED)
find_package(spdlog REQUIRED)
find_package(yaml-cpp REQUIRED)
find_package(CLI11 REQUIRED)
find_package(nlohmann_json REQUIRED)
find_package(OpenSSL REQUIRED)      # SHA-256 only
find_package(PkgConfig REQUIRED)
pkg_check_modules(ZSTD REQUIRED IMPORTED_TARGET libzstd)
pkg_check_modules(SYSTEMD REQUIRED IMPORTED_TARGET libsystemd)
pkg_check_modules(MUPARSER REQUIRED IMPORTED_TARGET muparser)
# The chart library of the live page and of reports, as Debian's libjs-dygraphs installs it.
set(DYGRAPHS_FOLDER "/usr/share/javascript/dygraphs" CACHE PATH "Where libjs-dygraphs is installed")
find_file(DYGRAPHS_SCRIPT dygraph.min.js PATHS "${DYGRAPHS_FOLDER}" NO_DEFAULT_PATH)
find_file(DYGRAPHS_STYLE dygraph.min.css PATHS "${DYGRAPHS_FOLDER}" NO_DEFAULT_PATH)
if(NOT DYGRAPHS_SCRIPT OR NOT DYGRAPHS_STYLE)
  message(FATAL_ERROR "No chart library in ${DYGRAPHS_FOLDER}: run tools/packages build")
endif()
# Optional: without it proofdrived has no --mqtt.
pkg_check_modules(MOSQUITTO IMPORTED_TARGET libmosquitto)
