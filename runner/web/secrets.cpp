#include "runner/web/secrets.h"

#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <openssl/rand.h>

#include <algorithm>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kRoomCodeLength = 6;

std::vector<unsigned char> random_bytes(int count) {
    std::vector<unsigned char> bytes(static_cast<std::size_t>(count));
    if (RAND_bytes(bytes.data(), count) != 1) {
        throw MachineError("the system gives no random numbers",
                           "see that /dev/urandom can be read, and start again");
    }
    return bytes;
}

}  // namespace

std::string random_token(int bytes) {
    ISOSEAM_CHECK(bytes > 0);
    // OpenSSL writes base64 with its padding, and a zero after it.
    std::string token(4 * (static_cast<std::size_t>(bytes) + 2) / 3 + 4, '\0');
    EVP_EncodeBlock(reinterpret_cast<unsigned char*>(token.data()), random_bytes(bytes).data(), bytes);
    token.resize(token.find_first_of({"=\0", 2}));
    std::replace(token.begin(), token.end(), '+', '-');
    std::replace(token.begin(), token.end(), '/', '_');
    return token;
}

std::string random_room_code() {
    // Bytes beyond the last whole run of letters are passed over, so that no letter is likelier than another.
    constexpr std::size_t kUsable = 256 / kRoomCodeLetters.size() * kRoomCodeLetters.size();
    std::string code;
    while (code.size() < kRoomCodeLength) {
        for (const unsigned char byte : random_bytes(kRoomCodeLength)) {
            if (byte < kUsable && code.size() < kRoomCodeLength) {
                code += kRoomCodeLetters[byte % kRoomCodeLetters.size()];
            }
        }
    }
    return code;
}

bool same_secret(std::string_view a, std::string_view b) {
    return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

std::optional<std::string> below_secret(std::string_view path, std::string_view folder,
                                        std::string_view secret) {
    const std::string_view rest = path.substr(folder.size());
    const std::size_t slash = std::min(rest.find('/'), rest.size());
    return same_secret(rest.substr(0, slash), secret) ? std::optional<std::string>(rest.substr(slash))
                                                      : std::nullopt;
}

}  // namespace isoseam
