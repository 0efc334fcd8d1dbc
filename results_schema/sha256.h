#pragma once
#include <string>
#include <string_view>

namespace isoseam {
// Lower-case hex of SHA-256 (FIPS 180-4), by OpenSSL.
std::string sha256_hex(std::string_view bytes);
}  // namespace isoseam
