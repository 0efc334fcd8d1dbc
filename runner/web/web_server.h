#pragma once
// Serves a WebService on one thread of its own.

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "runner/web/web_limits.h"
#include "runner/web/web_request.h"

namespace isoseam {

struct WebAddress {
    std::string address = "127.0.0.1";  // "0.0.0.0": all addresses of this machine
    std::uint16_t port = 0;             // 0: any that is free
    // Other names that this server is reached by, "class.example.org" (with this port) or
    // "class.example.org:80". Requests for any other host are refused: a name of somebody else's that was
    // made to point here (DNS rebinding) would let their page read ours.
    std::vector<std::string> names;
};

class WebServer {
  public:
    // Listens when it comes back. MachineError: the port is in use, the address is not of this machine, no
    // permission, too few open files allowed (the process's own limit is raised as far as needed and
    // allowed). InputError: `address` is no IP address. `on_fault` gets the text of what the service threw,
    // on the server's thread. The service must outlive the server.
    WebServer(const WebAddress& address, const WebLimits& limits, WebService& service,
              std::function<void(const std::string&)> on_fault = {});
    // Sends what was published last, ends all streams, and comes back within a second, if the service does.
    ~WebServer();
    WebServer(const WebServer&) = delete;
    WebServer& operator=(const WebServer&) = delete;

    std::uint16_t port() const;

    // From any thread, also from within the service; never waits for the network. Every stream of that
    // channel gets it; what was published since and not yet sent is replaced.
    void publish(const std::string& channel, std::string event);

    WebCounts counts() const;  // from any thread

  private:
    class Running;
    std::unique_ptr<Running> running_;
};

}  // namespace isoseam
