#include "runner/web/listening.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <netinet/tcp.h>
#include <sys/resource.h>
#include <sys/socket.h>

#include <algorithm>
#include <boost/asio/ip/address.hpp>

#include "base/errors.h"
#include "runner/web/machine_addresses.h"

namespace isoseam {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

// A telephone that has left the room's network says nothing. It does not answer the heartbeats that come
// every 15 s, and after this time its stream ends.
constexpr unsigned kDeadPeerMs = 30'000;

// What a reader that has stopped reading may leave in the system: an old state or two, but not minutes of
// them.
constexpr int kSendBufferBytes = 64 * 1024;

// The number of files, libraries, screens and devices that the rest of the program may have open.
constexpr rlim_t kOtherFiles = 256;

// Says which addresses the server may listen at.
std::string possible_addresses() {
    return fmt::format("{}, or 0.0.0.0 for all", fmt::join(machine_addresses(), ", "));
}

[[noreturn]] void cannot_listen(const WebAddress& address, const error_code& error) {
    if (error == asio::error::address_in_use) {
        throw MachineError(fmt::format("port {} of {} is in use", address.port, address.address),
                           "take another port, or end the program that uses it");
    }
    if (error == boost::system::errc::address_not_available) {
        throw MachineError(fmt::format("{} is not an address of this machine", address.address),
                           "take one of " + possible_addresses());
    }
    if (error == asio::error::access_denied) {
        throw MachineError(fmt::format("this user may not open port {}", address.port),
                           "take a port from 1024 to 65535");
    }
    throw MachineError(
        fmt::format("port {} of {} cannot be opened ({})", address.port, address.address, error.message()),
        "take another address or port");
}

// Returns an IPv4 address in its own form, also where the socket is one of IPv6.
asio::ip::address plain(const asio::ip::address& address) {
    return address.is_v6() && address.to_v6().is_v4_mapped()
               ? asio::ip::make_address_v4(asio::ip::v4_mapped, address.to_v6())
               : address;
}

// Returns the key of a client's limits. A machine with IPv6 may call itself by any of the 2^64 addresses of
// its network, so the key is then the network.
std::string limited_as(const asio::ip::address& address) {
    if (address.is_v4()) {
        return address.to_string();
    }
    auto bytes = address.to_v6().to_bytes();
    std::fill(bytes.begin() + 8, bytes.end(), static_cast<unsigned char>(0));
    return asio::ip::address_v6(bytes).to_string();
}

}  // namespace

tcp::acceptor listening_acceptor(asio::io_context& context, const WebAddress& address) {
    error_code error;
    const auto ip = asio::ip::make_address(address.address, error);
    if (error) {
        throw InputError(Fault{"", 0, 0, "address", fmt::format("'{}' is no IP address", address.address),
                               "write one of " + possible_addresses()});
    }
    const tcp::endpoint endpoint(ip, address.port);
    tcp::acceptor acceptor(context);
    try {
        acceptor.open(endpoint.protocol());
        acceptor.set_option(tcp::acceptor::reuse_address(true));
        acceptor.bind(endpoint);
        acceptor.listen();
    } catch (const boost::system::system_error& failure) {
        cannot_listen(address, failure.code());
    }
    return acceptor;
}

void allow_open_files(int connections) {
    const rlim_t needed = static_cast<rlim_t>(connections) + kOtherFiles;
    rlimit allowed{};
    if (getrlimit(RLIMIT_NOFILE, &allowed) != 0 || allowed.rlim_cur >= needed) {
        return;
    }
    if (allowed.rlim_max < needed) {
        throw MachineError(fmt::format("this user may open {} files at once, and {} connections need {}",
                                       allowed.rlim_max, connections, needed),
                           "raise the limit (ulimit -Hn), or allow fewer connections");
    }
    allowed.rlim_cur = needed;
    if (setrlimit(RLIMIT_NOFILE, &allowed) != 0) {
        throw MachineError("the number of files that may be open at once cannot be raised",
                           fmt::format("say ulimit -n {} before the program is started", needed));
    }
}

WebEnds prepared_ends(tcp::socket& socket) {
    error_code ignored;  // if the socket is broken already, its first read finds that out
    socket.set_option(tcp::no_delay(true), ignored);
    socket.set_option(asio::socket_base::send_buffer_size(kSendBufferBytes), ignored);
    setsockopt(socket.native_handle(), IPPROTO_TCP, TCP_USER_TIMEOUT, &kDeadPeerMs, sizeof kDeadPeerMs);
    const auto remote = plain(socket.remote_endpoint(ignored).address());
    const auto local = plain(socket.local_endpoint(ignored).address());
    return {remote.to_string(), limited_as(remote), local.to_string()};
}

}  // namespace isoseam
