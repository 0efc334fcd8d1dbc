#pragma once
// Finds the IP addresses that this machine has now. Addresses that another machine may reach come first,
// loopback last.

#include <string>
#include <vector>

namespace isoseam {

// Returns IPv4 and IPv6 addresses. Link-local IPv6 addresses are left out, because they are no use in a
// browser.
std::vector<std::string> machine_addresses();

}  // namespace isoseam
