# Every library the project uses, found once. Which layer may use which: DEVELOPERS.md.
find_package(Threads REQUIRED)
find_package(Boost 1.81 REQUIRED)   # header-only parts: Asio, Beast, Math
find_package(Protobuf REQUIRED)
find_package(spdlog REQUIRED)
find_package(yaml-cpp REQUIRED)
find_package(CLI11 REQUIRED)
find_package(nlohmann_json REQUIRED)
find_package(PkgConfig REQUIRED)
pkg_check_modules(ZSTD REQUIRED IMPORTED_TARGET libzstd)
pkg_check_modules(MUPARSER REQUIRED IMPORTED_TARGET muparser)
