#include "runner/commands/web_options.h"

#include <fmt/format.h>

#include <charconv>

#include "base/errors.h"
#include "runner/web/machine_addresses.h"

namespace isoseam {

WebAddress parse_web_address(const std::string& text, const std::string& option) {
    WebAddress address;
    // The last colon stands before the port, but in an IPv6 address without brackets.
    const std::size_t close = text.rfind(']');
    const std::size_t colon = text.rfind(':');
    const bool has_port =
        colon != std::string::npos && (close != std::string::npos ? colon > close : text.find(':') == colon);
    std::string host = has_port ? text.substr(0, colon) : text;
    if (host.size() > 1 && host.front() == '[' && host.back() == ']')
        host = host.substr(1, host.size() - 2);
    if (has_port) {
        const std::string port = text.substr(colon + 1);
        const auto [end, error] = std::from_chars(port.data(), port.data() + port.size(), address.port);
        if (error != std::errc{} || end != port.data() + port.size()) {
            throw InputError(Fault{"", 0, 0, option, fmt::format("'{}' is no port", port),
                                   "write ADDRESS or ADDRESS:PORT, such as 0.0.0.0:8080"});
        }
    }
    if (!host.empty())
        address.address = host;
    return address;
}

std::string web_base(const WebAddress& address, std::uint16_t port) {
    std::string host = address.address;
    if (host == "0.0.0.0" || host == "::") {
        const std::vector<std::string> all = machine_addresses();
        host = all.empty() ? "127.0.0.1" : all.front();
    }
    if (host.find(':') != std::string::npos)
        host = "[" + host + "]";
    return fmt::format("http://{}:{}", host, port);
}

}  // namespace isoseam
