#pragma once
// Handles Ctrl-C and a polite kill while everything that was accepted is on disk already.

namespace isoseam {

// From now on SIGINT and SIGTERM end the program at once, with the status for an interruption. Nothing is
// left to be written.
void leave_at_once_when_interrupted();

}  // namespace isoseam
