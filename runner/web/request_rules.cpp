#include "runner/web/request_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <functional>

namespace isoseam {
namespace {

constexpr std::size_t kLongestTicket = 64;

bool letter_or_digit(char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
           (letter >= '0' && letter <= '9');
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) {
        text.remove_prefix(1);
    }
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) {
        text.remove_suffix(1);
    }
    return text;
}

std::optional<std::string> decoded(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        unsigned char letter = static_cast<unsigned char>(text[i]);
        if (text[i] == '%') {
            const std::string_view digits = text.substr(i + 1, 2);
            if (digits.size() < 2 ||
                std::from_chars(digits.begin(), digits.end(), letter, 16).ptr != digits.end()) {
                return std::nullopt;
            }
            i += 2;
        } else if (text[i] == '+') {
            letter = ' ';
        } else if (letter >= 0x80 || text[i] == '#') {
            return std::nullopt;
        }
        if (letter < 0x20 || letter == 0x7f) {
            return std::nullopt;
        }
        out += static_cast<char>(letter);
    }
    return out;
}

// Calls `each` with every part of `text` between separators.
void split(std::string_view text, char separator, const std::function<void(std::string_view)>& each) {
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(separator), text.size());
        each(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
}

bool from_another_site(const SentRequest& sent, std::string_view host) {
    // Browsers say where a page that posts comes from. Other programs say nothing, and hold nobody's tickets.
    const std::string* site = sent.field("sec-fetch-site");
    if (site != nullptr && *site != "same-origin" && *site != "none") {
        return true;
    }
    const std::string* origin = sent.field("origin");
    if (origin == nullptr) {
        return false;
    }
    const std::string from = small_letters(*origin);
    const std::string own = small_letters(host);
    // The scheme is https where something in front of this server does TLS for a name of WebAddress.
    return from != "http://" + own && from != "https://" + own;
}

std::optional<Refusal> refused_post(const SentRequest& sent, std::string_view host) {
    if (sent.count("origin") > 1 || sent.count("sec-fetch-site") > 1 || from_another_site(sent, host)) {
        return Refusal{403, &WebRefusals::other_site};
    }
    if (sent.field("content-length") == nullptr) {
        return Refusal{411};
    }
    const std::string* type = sent.field("content-type");
    const std::string_view named = type == nullptr ? std::string_view() : std::string_view(*type);
    if (sent.count("content-type") != 1 ||
        small_letters(trimmed(named.substr(0, named.find(';')))) != "application/json") {
        return Refusal{415};
    }
    return std::nullopt;
}

// Applies the rules that hold for every method.
std::optional<Refusal> refused(const SentRequest& sent, const ServedNames& served,
                               std::string_view local_address) {
    if (sent.method != "GET" && sent.method != "HEAD" && sent.method != "POST") {
        return Refusal{.status = 405, .allow = "GET, HEAD, POST"};
    }
    if (sent.count("host") != 1) {
        return kMalformed;
    }
    if (!served.holds(*sent.field("host"), local_address)) {
        return Refusal{421, &WebRefusals::wrong_host};
    }
    if (sent.count("expect") > 0) {
        return Refusal{417};
    }
    if (sent.method == "POST") {
        return refused_post(sent, *sent.field("host"));
    }
    if (!sent.body.empty()) {
        return kMalformed;
    }
    return std::nullopt;
}

}  // namespace

bool ServedNames::holds(std::string_view host, std::string_view local_address) const {
    std::string name = small_letters(host);
    const std::size_t colon = name.rfind(':');
    const bool port_said = colon != std::string::npos && name.find(']', colon) == std::string::npos;
    const std::string said = port_said ? name : name + ":80";
    const auto is = [&](std::string_view address) {
        const bool version_6 = std::count(address.begin(), address.end(), ':') > 1;
        return said == fmt::format("{}{}{}:{}", version_6 ? "[" : "", address, version_6 ? "]" : "", port);
    };
    if (is(local_address) || is("localhost") || is("127.0.0.1") || is("::1")) {
        return true;
    }
    return std::any_of(names.begin(), names.end(), [&](const std::string& given) {
        const std::string small = small_letters(given);
        return small.find(':') == std::string::npos ? is(small) : said == small;
    });
}

bool plain_path(std::string_view path) {
    return path.starts_with('/') && path.find("..") == std::string_view::npos &&
           path.find("//") == std::string_view::npos &&
           std::all_of(path.begin(), path.end(), [](char letter) {
               return letter_or_digit(letter) || letter == '/' || letter == '_' || letter == '.' ||
                      letter == '-';
           });
}

std::optional<std::map<std::string, std::string>> decoded_query(std::string_view query) {
    std::map<std::string, std::string> values;
    bool whole = true;
    split(query, '&', [&](std::string_view part) {
        const std::size_t equals = std::min(part.find('='), part.size());
        const auto name = decoded(part.substr(0, equals));
        const auto value = decoded(part.substr(std::min(equals + 1, part.size())));
        whole = whole && name && value && values.emplace(*name, *value).second;
    });
    return whole ? std::optional(values) : std::nullopt;
}

bool plain_ticket(std::string_view ticket) {
    return !ticket.empty() && ticket.size() <= kLongestTicket &&
           std::all_of(ticket.begin(), ticket.end(),
                       [](char letter) { return letter_or_digit(letter) || letter == '_' || letter == '-'; });
}

std::string ticket_of(const SentRequest& sent) {
    std::string ticket;
    int tickets = 0;
    for (const auto& [name, value] : sent.fields) {
        if (name != "cookie") {
            continue;
        }
        split(value, ';', [&](std::string_view part) {
            const std::string_view pair = trimmed(part);
            if (pair.starts_with("ticket=")) {
                ticket = pair.substr(pair.find('=') + 1);
                ++tickets;
            }
        });
    }
    return tickets == 1 && plain_ticket(ticket) ? ticket : std::string();
}

std::variant<WebRequest, Refusal> checked_request(const SentRequest& sent, const ServedNames& served,
                                                  std::string_view local_address, std::string client) {
    if (auto refusal = refused(sent, served, local_address)) {
        return *refusal;
    }
    const std::string_view target = sent.target;
    const std::size_t mark = std::min(target.find('?'), target.size());
    const std::string_view path = target.substr(0, mark);
    if (!plain_path(path)) {
        return Refusal{404};
    }
    auto query = decoded_query(target.substr(std::min(mark + 1, target.size())));
    if (!query) {
        return kMalformed;
    }
    WebRequest request;
    request.method = sent.method == "HEAD" ? "GET" : sent.method;
    request.path = std::string(path);
    request.query = std::move(*query);
    request.body = sent.body;
    request.client = std::move(client);
    request.ticket = ticket_of(sent);
    return request;
}

}  // namespace isoseam
