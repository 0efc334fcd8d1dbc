#pragma once
// Where a page for a browser is served, as the command line asks for it.

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "runner/web/web_server.h"

namespace isoseam {

struct WebOptions {
    std::string address;  // "": loopback; ADDRESS, or ADDRESS:PORT ([ADDRESS]:PORT of IPv6)
};
// InputError (key `option`) for what is no address.
WebAddress parse_web_address(const std::string& text, const std::string& option);

// "http://192.168.1.4:8080" of a server that listens there. Of one that listens at all addresses: the first
// one of this machine that others may reach.
std::string web_base(const WebAddress& address, std::uint16_t port);

}  // namespace isoseam
