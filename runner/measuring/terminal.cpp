#include "runner/measuring/terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <iostream>

#include "base/errors.h"

namespace isoseam {

Terminal::Terminal(bool yes)
    : asks_(isatty(STDIN_FILENO) != 0), shows_progress_(isatty(STDERR_FILENO) != 0), yes_(yes) {}

void Terminal::tell(const std::string& line) {
    clear();
    fmt::print(stderr, "isoseam: {}\n", line);
}

void Terminal::progress(const std::string& line) {
    if (!shows_progress_)
        return;
    clear();
    constexpr std::size_t kMostWidth = 110;
    fmt::print(stderr, "{}", line.substr(0, kMostWidth));
    width_ = std::min(line.size(), kMostWidth);
    std::fflush(stderr);
}

void Terminal::clear() {
    if (width_ > 0)
        fmt::print(stderr, "\r{:{}}\r", "", width_);
    width_ = 0;
}

std::optional<std::string> Terminal::ask(const std::string& prompt) {
    return asks_ ? answer(prompt) : std::nullopt;
}

std::optional<std::string> Terminal::answer(const std::string& prompt) {
    clear();
    fmt::print(stderr, "{}", prompt);
    std::fflush(stderr);
    std::string line;
    if (!std::getline(std::cin, line))
        return std::nullopt;
    return line;
}

bool Terminal::agrees() {
    if (yes_)
        return true;
    if (!asks_) {
        throw InputError(Fault{"", 0, 0, "--yes", "nobody is there to agree to the plan",
                               "say --yes to begin without being asked"});
    }
    return ask("Return begins, Ctrl-C leaves. ").has_value();
}

PersonAtTerminal Terminal::person() {
    return {[this](const std::string& line) { tell(line); },
            [this](const std::string& line) { progress(line); },
            [this](const std::string& prompt) { return ask(prompt); }};
}

}  // namespace isoseam
