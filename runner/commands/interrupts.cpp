#include "runner/commands/interrupts.h"

#include <unistd.h>

#include <csignal>

#include "runner/commands/command.h"

namespace isoseam {
namespace {

void leave_at_once(int) {
    _exit(static_cast<int>(ExitStatus::interrupted));
}

}  // namespace

void leave_at_once_when_interrupted() {
    std::signal(SIGINT, leave_at_once);
    std::signal(SIGTERM, leave_at_once);
}

}  // namespace isoseam
