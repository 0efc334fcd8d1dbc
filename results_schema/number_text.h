#pragma once
// Numbers as text for tables of millions of rows.

#include <cstddef>
#include <cstdint>

namespace isoseam {

inline constexpr std::size_t kNumberRoom = 40;

// Writes the fewest digits that read back as the same number, laid out as {fmt} lays them out: with an
// exponent below 0.0001 and from 1e16 on, without a point where there is no fraction. There must be room for
// kNumberRoom bytes, and what lies beyond the end that is returned is undefined. Digits: J. Jeon, "Dragonbox:
// A New Floating-Point Binary-to-Decimal Conversion Algorithm" (2020), by the library of that name.
char* write_number(char* to, double value);
char* write_number(char* to, std::int64_t value);
inline char* write_number(char* to, int value) {
    return write_number(to, std::int64_t{value});
}

}  // namespace isoseam
