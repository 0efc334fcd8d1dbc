#include "results_schema/sha256.h"

#include <openssl/evp.h>

#include <array>

#include "colorimetry/errors.h"

namespace isoseam {

std::string sha256_hex(std::string_view bytes) {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    const int done = EVP_Digest(bytes.data(), bytes.size(), digest.data(), &size, EVP_sha256(), nullptr);
    ISOSEAM_CHECK(done == 1 && size == 32);
    static constexpr char kDigits[] = "0123456789abcdef";
    std::string hex;
    hex.reserve(2 * std::size_t{size});
    for (unsigned int i = 0; i < size; ++i) {
        hex += kDigits[digest[i] >> 4U];
        hex += kDigits[digest[i] & 15U];
    }
    return hex;
}

}  // namespace isoseam
