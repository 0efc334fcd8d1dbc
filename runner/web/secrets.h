#pragma once
// Makes what nobody may guess: tickets, addresses of desks, room codes.

#include <optional>
#include <string>
#include <string_view>

namespace isoseam {

// Returns random bytes of OpenSSL's generator as base64url without padding (RFC 4648, section 5): 4 letters
// for 3 bytes. Nobody can guess 16 such bytes. MachineError when the system gives no randomness.
std::string random_token(int bytes);

// A room code is six letters and digits that people read off a wall and type. Of letters that look alike at a
// distance only one is used at most: never both of 0 and O, of 5 and S, of 2 and Z, of 8 and B, nor two of 1,
// I and L. There are no vowels, so that codes spell no words. There are 244 million codes. That is enough
// that nobody joins by trying, but too few for a secret.
inline constexpr std::string_view kRoomCodeLetters = "CDFGHJKMNPQRTVWXY23456789";
std::string random_room_code();

// Whether both texts are the same. The time taken does not depend on which letters differ. Lengths are no
// secret.
bool same_secret(std::string_view a, std::string_view b);

// Of a path "/desk/SECRET/events" below the folder "/desk/" returns "/events". The result is none where the
// secret is another one.
std::optional<std::string> below_secret(std::string_view path, std::string_view folder,
                                        std::string_view secret);

}  // namespace isoseam
