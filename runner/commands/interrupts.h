#pragma once
// Ctrl-C and a polite kill, where everything that was accepted is on disk already.

namespace isoseam {

// From now on SIGINT and SIGTERM end the program at once, with the status of what was interrupted: nothing is left
// to be written.
void leave_at_once_when_interrupted();

}  // namespace isoseam
