#include "runner/command_line.h"

int main(int argc, char** argv) {
    return isoseam::run_command_line(argc, argv);
}
