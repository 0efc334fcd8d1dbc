#include "results_schema/number_text.h"

#include <dragonbox/dragonbox.h>
#include <fmt/compile.h>
#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <string_view>

namespace isoseam {
namespace {

constexpr std::size_t kMostDigits = 17;
constexpr double kLeast = 1e-4;
constexpr double kMost = 1e15;
constexpr std::size_t kMostBeforePoint = 15;
constexpr std::string_view kSmallest = "0.000";
static_assert(kNumberRoom > 1 + kMostBeforePoint + 1 + kMostDigits);

// The digits of "00", "01" and so on up to "99".
constexpr std::size_t kPairs = 100;
constexpr std::array<char, 2 * kPairs> kPairText = [] {
    std::array<char, 2 * kPairs> text{};
    for (std::size_t i = 0; i < kPairs; ++i) {
        text[2 * i] = static_cast<char>('0' + i / 10);
        text[2 * i + 1] = static_cast<char>('0' + i % 10);
    }
    return text;
}();

void write_pair(char* to, std::uint32_t pair) {
    std::memcpy(to, &kPairText[2 * std::size_t{pair}], 2);
}

void write_eight(char* to, std::uint32_t number) {
    const std::uint32_t high = number / 10000;
    const std::uint32_t low = number % 10000;
    write_pair(to, high / 100);
    write_pair(to + 2, high % 100);
    write_pair(to + 4, low / 100);
    write_pair(to + 6, low % 100);
}

// Writes seventeen digits, zeros first, in pieces that do not wait for each other: waiting is what takes the
// time.
void write_seventeen(char* to, std::uint64_t number) {
    constexpr std::uint64_t kEight = 100'000'000;
    const std::uint64_t high = number / kEight;
    *to = static_cast<char>('0' + high / kEight);
    write_eight(to + 1, static_cast<std::uint32_t>(high % kEight));
    write_eight(to + 9, static_cast<std::uint32_t>(number % kEight));
}

}  // namespace

char* write_number(char* to, double value) {
    const double size = std::abs(value);
    if (!(size >= kLeast && size < kMost)) {  // the number is zero, needs an exponent, or is not finite
        return fmt::format_to(to, FMT_COMPILE("{}"), value);
    }
    const auto decimal = jkj::dragonbox::to_decimal(value);
    // Each copy has a fixed size and reaches beyond the digits, so that it takes a few instructions and no
    // call.
    std::array<char, 3 * kMostDigits> text{};
    write_seventeen(text.data(), decimal.significand);
    const char* digits = text.data();
    while (*digits == '0') {
        ++digits;
    }
    const auto count = static_cast<int>(text.data() + kMostDigits - digits);
    const int before_point = count + decimal.exponent;
    if (decimal.is_negative) {
        *to++ = '-';
    }
    if (before_point <= 0) {
        std::memcpy(to, kSmallest.data(), kSmallest.size());
        to += 2 - before_point;
        std::memcpy(to, digits, kMostDigits);
        return to + count;
    }
    std::memcpy(to, digits, kMostDigits);
    if (before_point >= count) {
        std::memset(to + count, '0', static_cast<std::size_t>(before_point - count));
        return to + before_point;
    }
    to[before_point] = '.';
    std::memcpy(to + before_point + 1, digits + before_point, kMostDigits);
    return to + count + 1;
}

char* write_number(char* to, std::int64_t value) {
    return std::to_chars(to, to + kNumberRoom, value).ptr;
}

}  // namespace isoseam
