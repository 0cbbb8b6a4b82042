// Carries the precompiled header of the tests (Tests.cmake); has no code.
