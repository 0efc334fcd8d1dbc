#pragma once
// Opens the port, and tells what may be wrong with it.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>

#include "runner/web/reception.h"
#include "runner/web/web_server.h"

namespace isoseam {

// Throws the errors that WebServer's constructor names.
boost::asio::ip::tcp::acceptor listening_acceptor(boost::asio::io_context& context,
                                                  const WebAddress& address);

// Raises the process's limit of open files, so that `connections` fit beside the files that are open already.
// MachineError when the system does not allow that.
void allow_open_files(int connections);

// Sets the options of a socket that was just accepted: small packets are sent at once, the send buffer is
// bounded, and a dead peer is noticed within half a minute. Returns the addresses of both ends.
WebEnds prepared_ends(boost::asio::ip::tcp::socket& socket);

}  // namespace isoseam
