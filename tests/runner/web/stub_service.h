#pragma once
// A service with one answer of each kind.

#include <atomic>
#include <stdexcept>
#include <string>

#include "runner/web/web_request.h"

namespace isoseam::test {

class StubService : public WebService {
  public:
    WebAnswer answer(const WebRequest& request) override {
        ++asked;
        last = request;
        if (request.path == "/events") {
            return WebStream{"state", "first"};
        }
        if (request.path == "/join" && request.method == "POST") {
            return WebResponse{200, "application/json", "{\"person\":1}", "abc-DEF_123", {}};
        }
        if (request.path == "/answer") {
            if (request.method != "POST") {
                return WebResponse{405, {}, {}, {}, "POST"};
            }
            return WebResponse{204, {}, {}, {}, {}};
        }
        if (request.path == "/broken") {
            throw std::runtime_error("the secret inside of the program");
        }
        if (request.path == "/no-response") {
            return WebResponse{200, "text/plain\r\nX-Split: yes", "x", {}, {}};
        }
        if (request.path == "/long") {
            return WebResponse{200, "text/plain", std::string(8'000'000, 'x'), {}, {}};
        }
        if (request.path == "/once") {
            return WebResponse{200, "text/plain", "once", {}, {}, true};
        }
        if (request.path == "/") {
            return WebResponse{200, "text/html; charset=utf-8", "<!doctype html>page", {}, {}};
        }
        return WebResponse{404, "application/json", "{\"error\":\"not_found\"}", {}, {}};
    }
    void stream_opened(const std::string& channel, const std::string& ticket) override {
        ++open;
        opened = channel + " " + ticket;
    }
    void stream_closed(const std::string& channel, const std::string& ticket) override {
        --open;
        closed = channel + " " + ticket;
    }

    std::atomic<int> asked{0};
    std::atomic<int> open{0};
    // Read these only when the server's thread is done with them: after a response, or after its end.
    WebRequest last;
    std::string opened;
    std::string closed;
};

}  // namespace isoseam::test
