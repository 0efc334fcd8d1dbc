#pragma once
// What nobody may guess: tickets, addresses of desks, room codes.

#include <string>
#include <string_view>

namespace isoseam {

// Random bytes of OpenSSL's generator as base64url without padding (RFC 4648, section 5): 4 letters for 3
// bytes. 16 bytes are enough that nobody guesses it. MachineError when the system gives no randomness.
std::string random_token(int bytes);

// Six letters and digits to be read off a wall and typed. Of letters that look alike at a distance one stands
// at most (no 0 and O, 1 and I and L, 5 and S, 2 and Z, 8 and B together), and without vowels they spell no
// words. 244 million codes: enough that nobody joins by trying, too few for a secret.
inline constexpr std::string_view kRoomCodeLetters = "CDFGHJKMNPQRTVWXY23456789";
std::string random_room_code();

// Whether both are the same; takes as long whichever letters differ (lengths are no secret).
bool same_secret(std::string_view a, std::string_view b);

}  // namespace isoseam
