#include "results_schema/sha256.h"

#include <openssl/evp.h>

#include <array>
#include <memory>

#include "base/errors.h"

namespace isoseam {

namespace {

// The algorithm is looked up once for the program, since looking it up costs more than hashing a line does.
const EVP_MD* sha256() {
    static const std::unique_ptr<EVP_MD, decltype(&EVP_MD_free)> found(
        EVP_MD_fetch(nullptr, "SHA256", nullptr), &EVP_MD_free);
    ISOSEAM_CHECK(found != nullptr);
    return found.get();
}

}  // namespace

Sha256Hex sha256_digits(std::string_view bytes, std::string_view more) {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    thread_local const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(),
                                                                                       &EVP_MD_CTX_free);
    const bool done = context != nullptr && EVP_DigestInit_ex2(context.get(), sha256(), nullptr) == 1 &&
                      EVP_DigestUpdate(context.get(), bytes.data(), bytes.size()) == 1 &&
                      EVP_DigestUpdate(context.get(), more.data(), more.size()) == 1 &&
                      EVP_DigestFinal_ex(context.get(), digest.data(), &size) == 1;
    Sha256Hex hex{};
    ISOSEAM_CHECK(done && 2 * std::size_t{size} == hex.size());
    static constexpr char kDigits[] = "0123456789abcdef";
    for (unsigned int i = 0; i < size; ++i) {
        hex[2 * i] = kDigits[digest[i] >> 4U];
        hex[2 * i + 1] = kDigits[digest[i] & 15U];
    }
    return hex;
}

std::string sha256_hex(std::string_view bytes) {
    const Sha256Hex digits = sha256_digits(bytes);
    return {digits.begin(), digits.end()};
}

}  // namespace isoseam
