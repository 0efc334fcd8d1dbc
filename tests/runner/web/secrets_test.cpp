#include "runner/web/secrets.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <map>
#include <set>

using namespace isoseam;

TEST_CASE("tokens are base64url of the asked number of bytes, and never twice the same", "[secrets]") {
    // RFC 4648, section 5, without padding: 4 letters for 3 bytes, 2 for one more, 3 for two more.
    CHECK(random_token(3).size() == 4);
    CHECK(random_token(16).size() == 22);
    CHECK(random_token(17).size() == 23);
    std::set<std::string> tokens;
    std::map<char, int> letters;
    for (int i = 0; i < 10'000; ++i) {
        const std::string token = random_token(15);
        REQUIRE(token.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") ==
                std::string::npos);
        tokens.insert(token);
        for (const char letter : token) {
            ++letters[letter];
        }
    }
    CHECK(tokens.size() == 10'000);
    // 200,000 letters, 3125 of each expected, SD 55: seven of them off by chance in less than 2e-10 of all
    // runs (64 letters, two sides).
    CHECK(letters.size() == 64);
    for (const auto& [letter, count] : letters) {
        CAPTURE(letter);
        CHECK(std::abs(count - 3125) < 7 * 56);
    }
    // The last letter of one byte holds two bits: four letters may stand there.
    std::set<char> last;
    for (int i = 0; i < 1000; ++i) {
        last.insert(random_token(1).back());
    }
    CHECK(last == std::set<char>{'A', 'Q', 'g', 'w'});
}

TEST_CASE("room codes have no letters that look alike, all equally likely", "[secrets]") {
    for (const char* alike : {"0O", "1IL", "2Z", "5S", "8B", "UV"}) {
        const std::string group = alike;
        const auto in_use = std::count_if(group.begin(), group.end(), [](char letter) {
            return kRoomCodeLetters.find(letter) != std::string_view::npos;
        });
        CAPTURE(group);
        CHECK(in_use <= 1);
    }
    std::set<std::string> codes;
    std::map<char, int> letters;
    for (int i = 0; i < 10'000; ++i) {
        const std::string code = random_room_code();
        REQUIRE(code.size() == 6);
        REQUIRE(code.find_first_not_of(kRoomCodeLetters) == std::string::npos);
        codes.insert(code);
        for (const char letter : code) {
            ++letters[letter];
        }
    }
    // 10,000 draws of 25^6 codes: 0.2 pairs alike are expected; five or more come in less than 1e-5 of all
    // runs (Poisson).
    CHECK(codes.size() > 10'000 - 5);
    // 60,000 letters, 2400 of each expected, SD 48.
    CHECK(letters.size() == kRoomCodeLetters.size());
    for (const auto& [letter, count] : letters) {
        CAPTURE(letter);
        CHECK(std::abs(count - 2400) < 7 * 48);
    }
}

TEST_CASE("secrets are the same when every letter is", "[secrets]") {
    CHECK(same_secret("", ""));
    CHECK(same_secret("abc", "abc"));
    CHECK_FALSE(same_secret("abc", "abd"));
    CHECK_FALSE(same_secret("abc", "xbc"));
    CHECK_FALSE(same_secret("abc", "ab"));
    CHECK_FALSE(same_secret("abc", "abcd"));
    CHECK_FALSE(same_secret("abc", ""));
    CHECK(same_secret(std::string_view("a\0b", 3), std::string_view("a\0b", 3)));
    CHECK_FALSE(same_secret(std::string_view("a\0b", 3), std::string_view("a\0c", 3)));
}
