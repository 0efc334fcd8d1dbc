#include "runner/web/secrets.h"

#include <openssl/crypto.h>
#include <openssl/rand.h>

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
    constexpr std::string_view kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    std::string token;
    unsigned held = 0;
    int held_bits = 0;
    for (const unsigned char byte : random_bytes(bytes)) {
        held = (held << 8U) | byte;
        held_bits += 8;
        while (held_bits >= 6) {
            held_bits -= 6;
            token += kLetters[(held >> static_cast<unsigned>(held_bits)) & 63U];
        }
    }
    if (held_bits > 0) {
        token += kLetters[(held << static_cast<unsigned>(6 - held_bits)) & 63U];
    }
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

}  // namespace isoseam
