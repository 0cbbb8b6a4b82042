#include "daemon/daemon.h"

int main(int argc, char** argv) { return proofdrive::daemon::DaemonMain(argc, argv); }
