#pragma once
// Runs a program once, without a shell, and keeps what it printed.

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

// Cuts a command line into words: blanks separate words, "..." and '...' hold a word together, and a
// backslash outside '...' takes the next character as it is. Nothing is expanded. Throws an InputError (key
// `key`) if there is no word or a quotation mark is never closed.
std::vector<std::string> split_command(std::string_view text, const std::string& key);

struct ChildResult {
    enum class End { exited, killed, timed_out, printed_too_much, not_started };
    End end = End::not_started;
    // The exit status of the program, the number of the signal if it was killed, or errno if it did not
    // start.
    int status = 0;
    std::string out;  // standard output
    std::string err;  // standard error
};

// Standard input is empty. After `timeout_s`, or beyond a megabyte of output, the program and what it started
// (its process group) are killed.
ChildResult run_child(const std::vector<std::string>& words,
                      const std::map<std::string, std::string>& environment, double timeout_s);

}  // namespace isoseam
