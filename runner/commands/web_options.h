#pragma once
// The options for serving a page to browsers, as the command line gives them.

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "runner/web/web_server.h"

namespace isoseam {

// Reads ADDRESS or ADDRESS:PORT, for IPv6 [ADDRESS]:PORT; "" is loopback. The InputError, for a text that is
// no address, has `option` as key.
WebAddress parse_web_address(const std::string& text, const std::string& option);

// Returns "http://192.168.1.4:8080" for a server that listens there. If the server listens at all addresses,
// it is the first address of this machine that others may reach.
std::string web_base(const WebAddress& address, std::uint16_t port);

}  // namespace isoseam
