#pragma once
// How the program says that something is wrong.
//
//   InputError     bad usage or a bad file (exit status 2). Holds every fault that was found, each with its
//   place. MachineError   the machine lacks something: a screen, a device, space (exit status 3).
//   ISOSEAM_CHECK  a broken invariant, which is a programmer's fault (std::logic_error).
//
// Nothing below main() exits.

#include <stdexcept>
#include <string>
#include <vector>

namespace isoseam {

// One fault of an input. `line` and `column` count from 1; 0 means unknown. `key` may be empty.
struct Fault {
    std::string file;
    int line = 0;
    int column = 0;
    std::string key;
    std::string found;   // what is wrong, with the words that were found
    std::string remedy;  // what would do
};

// "demo.yaml:12:5: rig.left: unknown source 'scren'; write one of: screen, projector"
std::string to_string(const Fault& fault);

class InputError : public std::runtime_error {
  public:
    explicit InputError(Fault fault);
    explicit InputError(std::vector<Fault> faults);  // at least one
    const std::vector<Fault>& faults() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};

// what() is "found; remedy".
class MachineError : public std::runtime_error {
  public:
    MachineError(const std::string& found, const std::string& remedy);
};

// The candidate closest to `word` by edit distance, or "" when none is near enough to be meant.
std::string nearest_word(const std::string& word, const std::vector<std::string>& candidates);

namespace detail {
[[noreturn]] void invariant_broken(const char* expression, const char* file, int line,
                                   const std::string& values);
}  // namespace detail

}  // namespace isoseam

// ISOSEAM_CHECK(x > 0, fmt::format("x = {}", x)): throws std::logic_error with expression and values; the
// second argument may be left out and is evaluated only on failure.
#define ISOSEAM_CHECK(expression, ...)                                                                      \
    do {                                                                                                    \
        if (!(expression)) {                                                                                \
            ::isoseam::detail::invariant_broken(#expression, __FILE__, __LINE__, std::string{__VA_ARGS__}); \
        }                                                                                                   \
    } while (false)
