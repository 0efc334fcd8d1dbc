#pragma once
// The person at the terminal of a measurement, if there is one.

#include <optional>
#include <string>

#include "runner/measuring/measuring_loop.h"

namespace isoseam {

// Tells on standard error. A progress line is overwritten by the next one and by what is told; without a
// terminal it is left out.
class Terminal {
  public:
    // `yes`: whoever started the program does not want to be asked before it begins.
    explicit Terminal(bool yes);

    void tell(const std::string& line);
    void progress(const std::string& line);
    void clear();  // the progress line
    // Whether somebody is there who wants to be asked.
    bool can_ask() const { return asks_ && !yes_; }
    // Nothing when standard input is no terminal.
    std::optional<std::string> ask(const std::string& prompt);
    // From standard input whatever it is: typed readings.
    std::optional<std::string> answer(const std::string& prompt);
    // Whether to begin. InputError (key "--yes") when there is nobody to ask.
    bool agrees();
    PersonAtTerminal person();  // refers to this

  private:
    bool asks_;
    bool shows_progress_;
    bool yes_;
    std::size_t width_ = 0;  // of the progress line
};

}  // namespace isoseam
