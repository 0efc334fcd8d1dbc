#pragma once
// The IP addresses that this machine has now: those that another machine may reach first, loopback last.

#include <string>
#include <vector>

namespace isoseam {

// IPv4 and IPv6, without link-local IPv6 ones, which are no use in a browser.
std::vector<std::string> machine_addresses();

}  // namespace isoseam
