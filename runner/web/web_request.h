#pragma once
// What a browser asks, and what a service answers. The server has checked everything about a request that can
// be checked without knowing what it is about: see README.md of this folder.

#include <map>
#include <string>
#include <variant>

namespace isoseam {

struct WebRequest {
    std::string method;  // "GET" or "POST"; HEAD comes as GET
    std::string path;    // as it was sent: begins with '/', only [A-Za-z0-9/_.-], no "..", no "//"
    std::map<std::string, std::string> query;  // percent-decoded, no control characters, no key twice
    std::string body;                          // of a POST that said that it is JSON; not yet parsed
    std::string client;  // the address that it came from, of IPv6 its network of 64 bits: for limits only,
                         // never to be logged
    std::string ticket;  // the cookie, [A-Za-z0-9_-]; "": none
};

struct WebResponse {
    int status = 200;
    std::string content_type;  // "": no body
    std::string body;
    std::string set_ticket{};      // a new ticket for this browser, [A-Za-z0-9_-]; "": leave it as it is
    std::string allow{};           // of a 405: the methods that this path has, "GET"
    bool ends_connection = false;  // of what is asked for once: the connection is not kept for more
};

// An event stream (text/event-stream) that is held open. `first` is sent at once; then whatever is published
// on `channel`. A slow reader gets the newest event only, so each event must be a whole state.
struct WebStream {
    std::string channel;
    std::string first;
};

using WebAnswer = std::variant<WebResponse, WebStream>;

// All of it is called on the server's thread, which does nothing else meanwhile: milliseconds, never waiting
// for the disk. What it throws becomes a 500 without its words, which go to the server's `on_fault`.
class WebService {
  public:
    virtual ~WebService() = default;
    virtual WebAnswer answer(const WebRequest& request) = 0;
    // One for each stream that was really opened, and for each of these one `stream_closed`, at the server's
    // end too. The same ticket may hold several streams at once (two windows; a telephone that has lost its
    // network and comes back): count them.
    virtual void stream_opened(const std::string& /*channel*/, const std::string& /*ticket*/) {}
    virtual void stream_closed(const std::string& /*channel*/, const std::string& /*ticket*/) {}
};

}  // namespace isoseam
