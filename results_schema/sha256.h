#pragma once
#include <array>
#include <string>
#include <string_view>

namespace isoseam {

// Lower-case hex of SHA-256 (FIPS 180-4), by OpenSSL.
std::string sha256_hex(std::string_view bytes);

// The same of two texts that follow one another, and without an allocation: for the lines of a log.
using Sha256Hex = std::array<char, 64>;
Sha256Hex sha256_digits(std::string_view bytes, std::string_view more = {});

}  // namespace isoseam
