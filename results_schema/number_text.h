#pragma once
// Numbers as text for tables of millions of rows.
//
//     std::array<char, kNumberRoom> room;
//     const std::string_view text(room.data(), write_number(room.data(), 0.25) - room.data());

#include <cstddef>
#include <cstdint>

namespace isoseam {

inline constexpr std::size_t kNumberRoom = 40;

// Writes the fewest digits that read back as the same number, and returns the end of the text. The layout is
// that of {fmt}: an exponent below 0.0001 and from 1e16 on, and no point where there is no fraction. There
// must be room for kNumberRoom bytes, and the bytes beyond the end are undefined. The digits come from the
// library Dragonbox: J. Jeon, "Dragonbox: A New Floating-Point Binary-to-Decimal Conversion Algorithm"
// (2020).
char* write_number(char* to, double value);
char* write_number(char* to, std::int64_t value);
inline char* write_number(char* to, int value) {
    return write_number(to, std::int64_t{value});
}

}  // namespace isoseam
