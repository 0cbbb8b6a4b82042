#include "tools/shell/command.h"

int main(int argc, char** argv) { return proofdrive::tools::ToolMain(argc, argv); }
