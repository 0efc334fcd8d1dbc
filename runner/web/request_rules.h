#pragma once
// Whether a well-formed request may reach the service. No socket and no clock.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "runner/web/request_reader.h"
#include "runner/web/web_request.h"

namespace isoseam {

// By what names this server may be called.
struct ServedNames {
    std::uint16_t port = 0;
    std::vector<std::string> names;  // see WebAddress

    // `host` is a Host field's value; `local_address` the address that the connection came in at.
    bool holds(std::string_view host, std::string_view local_address) const;
};

// The first rule that the request breaks, or what the service gets of it. `client` is taken over as it is.
std::variant<WebRequest, Refusal> checked_request(const SentRequest& sent, const ServedNames& served,
                                                  std::string_view local_address, std::string client);

// Only [A-Za-z0-9/_.-], begins with '/', no "..", no "//".
bool plain_path(std::string_view path);

// name=value&name=value, percent-decoded, '+' for a blank (WHATWG URL Standard, section 5.1). Nothing where
// an escape is not one, a control character or a letter that must be escaped stands in it, or a name comes
// twice.
std::optional<std::map<std::string, std::string>> decoded_query(std::string_view query);

// The only ticket of a request's Cookie fields; "" when there is none, more than one, or one that is none of
// ours.
std::string ticket_of(const SentRequest& sent);

// Letters of base64url, 1 to 64 of them.
bool plain_ticket(std::string_view ticket);

}  // namespace isoseam
