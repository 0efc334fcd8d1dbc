#pragma once
// What a browser asks, and what a service answers. The server has checked everything about a request that can
// be checked without knowing what the request is about: see README.md of this folder.

#include <functional>
#include <map>
#include <string>
#include <variant>

namespace isoseam {

struct WebRequest {
    std::string method;  // "GET" or "POST"; HEAD comes as GET
    // The path as it was sent: it begins with '/', has only [A-Za-z0-9/_.-], no ".." and no "//".
    std::string path;
    // Percent-decoded, without control characters; no key comes twice.
    std::map<std::string, std::string> query;
    std::string body;  // the body of a POST declared as JSON; it is not parsed yet
    // The address that the request came from; for IPv6 its network of 64 bits. It serves limits only and must
    // never be logged.
    std::string client;
    std::string ticket;  // the cookie, [A-Za-z0-9_-]; "": there is none
};

struct WebResponse {
    int status = 200;
    std::string content_type;  // "": there is no body
    std::string body;
    // A new ticket for this browser, [A-Za-z0-9_-]; "": the browser keeps what it has.
    std::string set_ticket{};
    std::string allow{};  // for a 405: the methods that this path has, such as "GET"
    // The connection is not kept for more requests, because this is asked for once only.
    bool ends_connection = false;
};

// An event stream (text/event-stream) that is held open. `first` is sent at once, and then everything that is
// published on `channel`. A slow reader gets the newest event only, so each event must be a whole state.
struct WebStream {
    std::string channel;
    std::string first;
};

using WebAnswer = std::variant<WebResponse, WebStream>;

// Hears the words of what a service threw.
using HearFault = std::function<void(const std::string&)>;

// The server calls all of these functions on its own thread, which does nothing else meanwhile. So they must
// return within milliseconds and never wait for the disk. If a function throws, the browser gets a 500
// without the error's words, which go to the server's `on_fault`.
class WebService {
  public:
    virtual ~WebService() = default;
    virtual WebAnswer answer(const WebRequest& request) = 0;
    // The server calls stream_opened() once for each stream that was really opened. For each of these it
    // calls stream_closed() once, if not before then at the server's end. The same ticket may hold several
    // streams at once, for example in two windows, or when a telephone has lost its network and comes back.
    // So the service must count them.
    virtual void stream_opened(const std::string& /*channel*/, const std::string& /*ticket*/) {}
    virtual void stream_closed(const std::string& /*channel*/, const std::string& /*ticket*/) {}
};

}  // namespace isoseam
