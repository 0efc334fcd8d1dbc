#pragma once
// How the program says that something is wrong.
//
//   InputError     The usage or a file is bad (exit status 2). It holds every fault that was found, each with
//                  its place.
//   MachineError   The machine lacks something: a screen, a device, space (exit status 3).
//   ISOSEAM_CHECK  An invariant is broken, which is a programmer's fault (std::logic_error).
//
//     throw InputError(Fault{.file = path, .found = "unknown source 'scren'", .remedy = "write screen"});
//     ISOSEAM_CHECK_BETWEEN(drive, 0.0, 1.0);
//
// Nothing below main() exits.

#include <compare>
#include <concepts>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
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
    // A fault without a place. Whoever reads the file or the command line adds the place.
    InputError(std::string found, std::string remedy);
    InputError(std::string key, std::string found, std::string remedy);
    const std::vector<Fault>& faults() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};

// Throws an InputError with all of `faults`, or does nothing when there is none.
void throw_if_any(std::vector<Fault> faults);

// what() is "found; remedy".
class MachineError : public std::runtime_error {
  public:
    MachineError(const std::string& found, const std::string& remedy);
};

// The candidate closest to `word` by edit distance, or "" when none is near enough to be meant.
std::string nearest_word(const std::string& word, const std::vector<std::string>& candidates);

// How a remedy begins: "did you mean 'screen'? ", or "" when no candidate is near enough to be meant.
std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates);

namespace detail {

[[noreturn]] void invariant_broken(const char* expression, const char* file, int line,
                                   const std::string& values);

std::string value_text(bool value);
std::string value_text(long long value);
std::string value_text(unsigned long long value);
std::string value_text(double value);
std::string value_text(std::string_view value);

// Made only when a check fails. "drives.size() = 4"; for a literal, whose text says its value, the text
// alone.
std::string named_value(const char* expression, const std::string& value);

template <typename Value>
std::string named_value_of(const char* expression, const Value& value) {
    if constexpr (std::is_enum_v<Value>)
        return named_value(expression, value_text(static_cast<long long>(value)));
    else if constexpr (std::same_as<Value, bool>)
        return named_value(expression, value_text(value));
    else if constexpr (std::signed_integral<Value>)
        return named_value(expression, value_text(static_cast<long long>(value)));
    else if constexpr (std::unsigned_integral<Value>)
        return named_value(expression, value_text(static_cast<unsigned long long>(value)));
    else if constexpr (std::floating_point<Value>)
        return named_value(expression, value_text(static_cast<double>(value)));
    else
        return named_value(expression, value_text(std::string_view(value)));
}

// Whole numbers of two types are compared by value, whatever their signs. NaN is in no order with anything.
template <typename A, typename B>
std::partial_ordering order_of(const A& a, const B& b) {
    if constexpr (std::integral<A> && std::integral<B> && !std::same_as<A, B>) {
        if (std::cmp_less(a, b))
            return std::partial_ordering::less;
        return std::cmp_equal(a, b) ? std::partial_ordering::equivalent : std::partial_ordering::greater;
    } else {
        return a <=> b;
    }
}

}  // namespace detail

}  // namespace isoseam

// ISOSEAM_CHECK(x > 0, fmt::format("x = {}", x)): throws std::logic_error with the expression and the
// values; the second argument may be left out and is evaluated only on failure.
#define ISOSEAM_CHECK(expression, ...)                                                                      \
    do {                                                                                                    \
        if (!(expression)) {                                                                                \
            ::isoseam::detail::invariant_broken(#expression, __FILE__, __LINE__, std::string{__VA_ARGS__}); \
        }                                                                                                   \
    } while (false)

// ISOSEAM_CHECK_EQ(sizes.size(), 3): throws std::logic_error with the expressions and all their values.
// Each argument is evaluated once. The arguments are numbers, enumerators or strings; a number with a
// fraction is compared with another of that kind (0.0, not 0). A NaN fails.
#define ISOSEAM_CHECK_EQ(a, b) ISOSEAM_CHECK_RELATION(a, ==, std::is_eq, b)
#define ISOSEAM_CHECK_LT(a, b) ISOSEAM_CHECK_RELATION(a, <, std::is_lt, b)
#define ISOSEAM_CHECK_LE(a, b) ISOSEAM_CHECK_RELATION(a, <=, std::is_lteq, b)
#define ISOSEAM_CHECK_GT(a, b) ISOSEAM_CHECK_RELATION(a, >, std::is_gt, b)
#define ISOSEAM_CHECK_GE(a, b) ISOSEAM_CHECK_RELATION(a, >=, std::is_gteq, b)

// low <= x <= high: both ends belong to the range.
#define ISOSEAM_CHECK_BETWEEN(x, low, high)                                                                  \
    do {                                                                                                     \
        const auto& isoseam_x = (x);                                                                         \
        const auto& isoseam_low = (low);                                                                     \
        const auto& isoseam_high = (high);                                                                   \
        if (!(std::is_gteq(::isoseam::detail::order_of(isoseam_x, isoseam_low)) &&                           \
              std::is_lteq(::isoseam::detail::order_of(isoseam_x, isoseam_high)))) {                         \
            ::isoseam::detail::invariant_broken(#low " <= " #x " <= " #high, __FILE__, __LINE__,             \
                                                ::isoseam::detail::named_value_of(#x, isoseam_x) + ", " +    \
                                                    ::isoseam::detail::named_value_of(#low, isoseam_low) +   \
                                                    ", " +                                                   \
                                                    ::isoseam::detail::named_value_of(#high, isoseam_high)); \
        }                                                                                                    \
    } while (false)

// What the five comparisons share.
#define ISOSEAM_CHECK_RELATION(a, sign, holds, b)                                                         \
    do {                                                                                                  \
        const auto& isoseam_a = (a);                                                                      \
        const auto& isoseam_b = (b);                                                                      \
        if (!holds(::isoseam::detail::order_of(isoseam_a, isoseam_b))) {                                  \
            ::isoseam::detail::invariant_broken(#a " " #sign " " #b, __FILE__, __LINE__,                  \
                                                ::isoseam::detail::named_value_of(#a, isoseam_a) + ", " + \
                                                    ::isoseam::detail::named_value_of(#b, isoseam_b));    \
        }                                                                                                 \
    } while (false)
