#pragma once
// Opening the port, and what may be wrong with it.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>

#include "runner/web/reception.h"
#include "runner/web/web_server.h"

namespace isoseam {

// Errors as WebServer's constructor tells them.
boost::asio::ip::tcp::acceptor listening_acceptor(boost::asio::io_context& context,
                                                  const WebAddress& address);

// Raises the process's limit of open files so that `connections` fit beside what else it has open.
// MachineError when that is not allowed.
void allow_open_files(int connections);

// Where a socket that was just accepted leads, and its options: small packets at once, a bounded send buffer,
// and a dead peer noticed within half a minute.
WebEnds prepared_ends(boost::asio::ip::tcp::socket& socket);

}  // namespace isoseam
