#include "runner/web/machine_addresses.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include <algorithm>
#include <array>

namespace isoseam {
namespace {

std::string written(const sockaddr& address) {
    std::array<char, INET6_ADDRSTRLEN> text{};
    if (address.sa_family == AF_INET) {
        const auto& v4 = reinterpret_cast<const sockaddr_in&>(address);
        return inet_ntop(AF_INET, &v4.sin_addr, text.data(), text.size());
    }
    if (address.sa_family == AF_INET6) {
        const auto& v6 = reinterpret_cast<const sockaddr_in6&>(address);
        if (!IN6_IS_ADDR_LINKLOCAL(&v6.sin6_addr)) {
            return inet_ntop(AF_INET6, &v6.sin6_addr, text.data(), text.size());
        }
    }
    return {};
}

}  // namespace

std::vector<std::string> machine_addresses() {
    ifaddrs* first = nullptr;
    if (getifaddrs(&first) != 0) {
        return {"127.0.0.1"};
    }
    std::vector<std::string> outward;
    std::vector<std::string> loopback;
    for (const ifaddrs* entry = first; entry != nullptr; entry = entry->ifa_next) {
        const std::string text = entry->ifa_addr == nullptr ? std::string() : written(*entry->ifa_addr);
        if (!text.empty() && (entry->ifa_flags & IFF_UP) != 0U) {
            ((entry->ifa_flags & IFF_LOOPBACK) != 0U ? loopback : outward).push_back(text);
        }
    }
    freeifaddrs(first);
    // IPv4 addresses come first: they are shorter to type, and the networks of rooms hand them out.
    std::stable_partition(outward.begin(), outward.end(),
                          [](const std::string& text) { return text.find(':') == std::string::npos; });
    outward.insert(outward.end(), loopback.begin(), loopback.end());
    return outward;
}

}  // namespace isoseam
