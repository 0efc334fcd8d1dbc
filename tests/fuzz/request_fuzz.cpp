#include "fuzz/request_fuzz.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string_view>
#include <vector>

#include "base/random.h"
#include "runner/web/reception.h"
#include "runner/web/request_reader.h"

namespace isoseam::test {
namespace {

constexpr std::uint32_t kStreamBytes = 1;
constexpr std::uint32_t kStreamPieces = 2;

// Stands in every part of a request that the sender chooses, and so in no response.
constexpr std::string_view kMarker = "EchoedMark";
constexpr std::size_t kHeaderBytes = 1024;
constexpr std::size_t kBodyBytes = 256;

class Dice {
  public:
    Dice(std::uint64_t seed, std::uint32_t stream, std::uint64_t number)
        : stream_{seed, stream}, index_(number << 20U) {}
    std::uint64_t below(std::uint64_t bound) { return stream_.below(index_++, bound); }
    bool one_in(std::uint64_t count) { return below(count) == 0; }
    std::string_view one_of(const std::vector<std::string_view>& words) { return words[below(words.size())]; }
    char byte() { return static_cast<char>(below(256)); }

  private:
    RandomStream stream_;
    std::uint64_t index_;
};

std::string target(Dice& dice, bool tame) {
    if (tame) {
        return std::string(
            dice.one_of({"/", "/join", "/answer", "/events", "/EchoedMark?a=EchoedMark&b=%c3%a4+x"}));
    }
    std::string text;
    const auto parts = dice.below(4);
    for (std::uint64_t i = 0; i <= parts; ++i) {
        text += dice.one_of({"/", "/EchoedMark", "/..", "//", "/%2e", "/a.b-c_d", "\\", "/desk/"});
    }
    return text + std::string(dice.one_of(
                      {"", "?", "?a=1", "?a=%41%zz", "?a=%0d%0aX: EchoedMark", "?a=1&a=2", "?#", "?&&=?"}));
}

// Every second one is as a browser would send it; of the others each part may be wrong.
std::string request(Dice& dice) {
    const bool tame = dice.one_in(2);
    const std::string method(dice.one_of({"GET", "POST", "POST", "HEAD"}));
    const std::string body(
        method != "POST" ? ""
                         : dice.one_of({"{}", "{\"EchoedMark\":1}", "\r\n\r\n", "GET / HTTP/1.1\r\n\r\n"}));
    std::string text =
        tame || dice.one_in(2) ? method : std::string(dice.one_of({"PUT", "EchoedMark", "get", ""}));
    text += " " + target(dice, tame || dice.one_in(2)) + " ";
    text += tame ? "HTTP/1.1"
                 : dice.one_of({"HTTP/1.1", "HTTP/1.1", "HTTP/1.0", "HTTP/2.0", "HTTP/1.10", "EchoedMark"});
    text += "\r\n";
    if (tame || !dice.one_in(8)) {
        text += "Host: localhost:8080\r\n";
    }
    if (method == "POST" && (tame || !dice.one_in(4))) {
        text += "Content-Type: application/json\r\n";
    }
    if (method == "POST" && (tame || !dice.one_in(4))) {
        text += "Content-Length: " + std::to_string(body.size()) + "\r\n";
    }
    if (dice.one_in(2)) {
        text += "Cookie: ticket=EchoedMark\r\n";
    }
    for (std::uint64_t i = tame ? 0 : dice.below(3); i > 0; --i) {
        text +=
            dice.one_of({"Host: EchoedMark\r\n", "Cookie: ticket=a; ticket=b\r\n", "Connection: close\r\n",
                         "Origin: http://localhost:8080\r\n", "Origin: EchoedMark\r\n", "X: EchoedMark\r\n",
                         "Content-Length: 99999999999999999999\r\n", "Content-Length: 3\r\n", "X:\r\n",
                         "Transfer-Encoding: chunked\r\n", "Expect: 100-continue\r\n", " folded\r\n", ":\r\n",
                         "Upgrade: EchoedMark\r\n", "Sec-Fetch-Site: cross-site\r\n"});
    }
    if (dice.one_in(30)) {
        text += "Long: " + std::string(dice.below(3000), 'x') + "\r\n";
    }
    return text + "\r\n" + body;
}

void damage(std::string& text, Dice& dice) {
    if (text.empty()) {
        return;
    }
    const auto place = dice.below(text.size());
    const auto length = dice.below(1 + std::min<std::size_t>(text.size() - place, 40));
    switch (dice.below(5)) {
        case 0:
            text[place] = dice.byte();
            break;
        case 1:
            text.erase(place, length);
            break;
        case 2:
            text.insert(place, text.substr(place, length));
            break;
        case 3:
            text.insert(place, 1, dice.byte());
            break;
        default:
            text.insert(place, dice.one_of({"\r\n", "\n", "\r", "\r\n\r\n", " ", ":", "%",
                                            std::string_view("\0", 1)}));
    }
}

// Notes what reached it, and whether that is all that was promised.
class Watching : public WebService {
  public:
    WebAnswer answer(const WebRequest& request) override {
        ++answered;
        seen += request.method + " " + request.path + " " + request.ticket + " " + request.body + "\n";
        check(request.method == "GET" || request.method == "POST", "a method that is none");
        check(plain_path(request.path), "a path of other letters");
        check(request.body.size() <= kBodyBytes, "a long body");
        check(request.method == "POST" || request.body.empty(), "a GET with a body");
        check(request.ticket.empty() || plain_ticket(request.ticket), "a ticket of other letters");
        for (const auto& [name, value] : request.query) {
            seen += name + "=" + value + "\n";
            const std::string both = name + value;
            check(std::none_of(both.begin(), both.end(),
                               [](unsigned char letter) { return letter < 0x20 || letter == 0x7f; }),
                  "a control character in the query");
        }
        if (request.path == "/events") {
            return WebStream{"channel", "first"};
        }
        return WebResponse{200, "text/plain", "answer", "ticket", {}};
    }
    void check(bool good, const char* what) {
        if (!good && wrong.empty()) {
            wrong = what;
        }
    }

    int answered = 0;
    std::string seen;
    std::string wrong;
};

// Of a response: one status line that HTTP knows, every line of its header a field, and nothing of the
// request.
std::string fault_of_response(const std::string& text) {
    const std::size_t end = text.find("\r\n\r\n");
    if (!text.starts_with("HTTP/1.1 ") || end == std::string::npos) {
        return "no response: " + text;
    }
    if (text.find(kMarker) != std::string::npos) {
        return "echoes the request: " + text;
    }
    for (std::size_t from = text.find("\r\n") + 2; from < end + 2; from = text.find("\r\n", from) + 2) {
        const std::size_t colon = text.find(": ", from);
        if (colon == std::string::npos || colon > text.find("\r\n", from)) {
            return "a line that is no field: " + text;
        }
    }
    return {};
}

struct Pass {
    std::string seen;  // what reached the service, and the status of each response
    FuzzOutcome outcome;
};

Pass passed(const std::string& bytes, const std::vector<std::size_t>& pieces) {
    WebLimits limits;
    limits.requests = limits.requests_per_client = limits.requests_per_ticket = WebRate{1e9, 1e9};
    Watching service;
    WebCounts counts;
    Reception reception(limits, {8080, {}}, service, counts, {});
    RequestReader reader(kHeaderBytes, kBodyBytes);
    Pass pass;
    std::size_t from = 0;
    bool open = true;
    for (const std::size_t piece : pieces) {
        reader.take(std::string_view(bytes).substr(from, piece));
        from += piece;
        while (open) {
            auto next = reader.next();
            if (std::holds_alternative<RequestReader::NeedMore>(next)) {
                break;
            }
            std::variant<SentRequest, Refusal> outcome;
            if (auto* sent = std::get_if<SentRequest>(&next)) {
                outcome = std::move(*sent);
            } else {
                outcome = std::get<Refusal>(next);
            }
            const Reply reply = reception.reply(outcome, {"client", "client", "127.0.0.1"}, WebTime{}, 0);
            service.check(fault_of_response(reply.text).empty(), "a response that is none");
            service.seen += reply.text.substr(9, 3) + "\n";
            open = reply.keep_alive;
        }
    }
    pass.seen = service.seen;
    pass.outcome = {service.wrong, service.answered, static_cast<int>(counts.requests) - service.answered};
    return pass;
}

}  // namespace

std::string random_requests(std::uint64_t seed, std::uint64_t number) {
    Dice dice(seed, kStreamBytes, number);
    std::string bytes;
    const auto count = 1 + dice.below(4);
    for (std::uint64_t i = 0; i < count; ++i) {
        bytes += request(dice);
    }
    for (std::uint64_t damages = dice.one_in(2) ? 0 : dice.below(4); damages > 0; --damages) {
        damage(bytes, dice);
    }
    return bytes;
}

FuzzOutcome fuzz_requests(const std::string& bytes, std::uint64_t seed, std::uint64_t number) {
    Dice dice(seed, kStreamPieces, number);
    std::vector<std::size_t> pieces;
    const std::uint64_t longest = dice.one_in(3) ? 2 : 200;
    for (std::size_t left = bytes.size(); left > 0; left -= pieces.back()) {
        pieces.push_back(std::min<std::size_t>(left, 1 + dice.below(longest)));
    }
    const Pass whole = passed(bytes, {bytes.size()});
    const Pass in_pieces = passed(bytes, pieces);
    FuzzOutcome outcome = whole.outcome;
    if (outcome.wrong.empty() && in_pieces.seen != whole.seen) {
        outcome.wrong = "another outcome in pieces than in one";
    }
    return outcome;
}

}  // namespace isoseam::test
