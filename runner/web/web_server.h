#pragma once
// Serves a WebService on one thread of its own.

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "runner/web/web_limits.h"
#include "runner/web/web_request.h"

namespace isoseam {

struct WebAddress {
    std::string address = "127.0.0.1";  // "0.0.0.0": all addresses of this machine
    std::uint16_t port = 0;             // 0: any port that is free
    // Other names by which this server is reached: "class.example.org" (with this port) or
    // "class.example.org:80". Requests for any other host are refused. Otherwise somebody could make a name
    // of their own point here (DNS rebinding), and their page could read ours.
    std::vector<std::string> names;
};

class WebServer {
  public:
    // When the constructor returns, the server listens. MachineError: the port is in use, the address is not
    // one of this machine, the permission is missing, or too few open files are allowed. (The process's own
    // limit is raised as far as needed and allowed.) InputError: `address` is no IP address. `on_fault` gets
    // the text of what the service threw, on the server's thread. The service must outlive the server.
    WebServer(const WebAddress& address, const WebLimits& limits, WebService& service,
              HearFault on_fault = {});
    // Sends what was published last and ends all streams. Returns within a second if the service returns in
    // time.
    ~WebServer();
    WebServer(const WebServer&) = delete;
    WebServer& operator=(const WebServer&) = delete;

    std::uint16_t port() const;

    // Sends an event to every stream of the channel. An older event that was not sent yet is replaced. May be
    // called from any thread, also from within the service, and never waits for the network.
    void publish(const std::string& channel, std::string event);

    WebCounts counts() const;  // may be called from any thread

  private:
    class Running;
    std::unique_ptr<Running> running_;
};

}  // namespace isoseam
