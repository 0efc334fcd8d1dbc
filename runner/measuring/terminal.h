#pragma once
// The person at the terminal of a measurement, if there is one.

#include <optional>
#include <string>

#include "runner/measuring/measuring_loop.h"

namespace isoseam {

// Lines are written to standard error. A progress line is overwritten by the next one, or by what is told.
// Without a terminal, progress lines are left out.
class Terminal {
  public:
    // `yes`: whoever started the program does not want to be asked before the measurement begins.
    explicit Terminal(bool yes);

    void tell(const std::string& line);
    void progress(const std::string& line);
    void clear();  // clears the progress line
    // Whether somebody is there who wants to be asked.
    bool can_ask() const { return asks_ && !yes_; }
    // Returns the line that was typed; none when standard input is no terminal.
    std::optional<std::string> ask(const std::string& prompt);
    // Reads a line from standard input, whether it is a terminal or not. Typed readings come this way.
    std::optional<std::string> answer(const std::string& prompt);
    // Asks whether to begin. InputError (key "--yes") when there is nobody to ask.
    bool agrees();
    PersonAtTerminal person();  // refers to this object

  private:
    bool asks_;
    bool shows_progress_;
    bool yes_;
    std::size_t width_ = 0;  // of the progress line
};

}  // namespace isoseam
