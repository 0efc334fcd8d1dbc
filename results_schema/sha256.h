#pragma once
// Hashes of files and of the lines of a log.
//
//     header.protocol = {name, sha256_hex(text), text};

#include <array>
#include <string>
#include <string_view>

namespace isoseam {

// SHA-256 (FIPS 180-4) by OpenSSL, as 64 lower-case hex digits.
std::string sha256_hex(std::string_view bytes);

// Returns the same of two texts that follow one another. It takes no memory from the heap, for the lines of a
// log.
using Sha256Hex = std::array<char, 64>;
Sha256Hex sha256_digits(std::string_view bytes, std::string_view more = {});

}  // namespace isoseam
