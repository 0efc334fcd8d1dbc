#include "results_schema/number_text.h"

#include <dragonbox/dragonbox.h>
#include <fmt/compile.h>
#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <cstring>

namespace isoseam {
namespace {

// Copies of a fixed size, part of them beyond the digits, are a few instructions; of another, a call.
constexpr std::size_t kMostDigits = 17;
constexpr double kLeast = 1e-4;
constexpr double kMost = 1e15;
constexpr int kMostBeforePoint = 15;
constexpr std::string_view kSmallest = "0.000";
static_assert(kNumberRoom > 1 + kMostBeforePoint + 1 + kMostDigits);

}  // namespace

char* write_number(char* to, double value) {
    const double size = std::abs(value);
    if (!(size >= kLeast && size < kMost)) {  // zero, or with an exponent, or not finite
        return fmt::format_to(to, FMT_COMPILE("{}"), value);
    }
    const auto decimal = jkj::dragonbox::to_decimal(value);
    std::array<char, 2 * kMostDigits> digits{};
    const char* const end =
        std::to_chars(digits.data(), digits.data() + kMostDigits, decimal.significand).ptr;
    const auto count = static_cast<int>(end - digits.data());
    const int before_point = count + decimal.exponent;
    if (decimal.is_negative) {
        *to++ = '-';
    }
    if (before_point <= 0) {
        std::memcpy(to, kSmallest.data(), kSmallest.size());
        to += 2 - before_point;
        std::memcpy(to, digits.data(), kMostDigits);
        return to + count;
    }
    std::memcpy(to, digits.data(), kMostDigits);
    if (before_point >= count) {
        std::memset(to + count, '0', static_cast<std::size_t>(before_point - count));
        return to + before_point;
    }
    to[before_point] = '.';
    std::memcpy(to + before_point + 1, digits.data() + before_point, kMostDigits);
    return to + count + 1;
}

char* write_number(char* to, std::int64_t value) {
    return std::to_chars(to, to + kNumberRoom, value).ptr;
}

}  // namespace isoseam
