#pragma once
// Decides whether a well-formed request may reach the service. It uses no socket and no clock.

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

// The names by which this server may be called.
struct ServedNames {
    std::uint16_t port = 0;
    std::vector<std::string> names;  // see WebAddress

    // `host` is the value of a Host field. `local_address` is the address that the connection came in at.
    bool holds(std::string_view host, std::string_view local_address) const;
};

// Returns a refusal by the first rule that the request breaks, or what the service gets to see of the
// request. `client` is taken over as it is.
std::variant<WebRequest, Refusal> checked_request(const SentRequest& sent, const ServedNames& served,
                                                  std::string_view local_address, std::string client);

// Whether the path has only characters of [A-Za-z0-9/_.-], begins with '/', and holds no ".." and no "//".
bool plain_path(std::string_view path);

// Decodes name=value&name=value, which is percent-encoded and has '+' for a blank (WHATWG URL Standard,
// section 5.1). The result is none where an escape is malformed, where the text holds a control character or
// a letter that must be escaped, or where a name comes twice.
std::optional<std::map<std::string, std::string>> decoded_query(std::string_view query);

// Returns the only ticket of a request's Cookie fields. The result is "" where there is no ticket or more
// than one, or where it has not the form of our tickets.
std::string ticket_of(const SentRequest& sent);

// Whether the text is 1 to 64 letters of base64url.
bool plain_ticket(std::string_view ticket);

}  // namespace isoseam
