#pragma once
// The program: its commands, and what each way of ending is called.

namespace isoseam {

// Does everything below main(). Never throws. Returns the exit status.
int run_command_line(int argc, const char* const* argv);

}  // namespace isoseam
