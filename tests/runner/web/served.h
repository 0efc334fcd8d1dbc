#pragma once
// A server with a stub service on loopback, and patience for what happens on its thread.

#include <chrono>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "runner/web/stub_service.h"
#include "runner/web/web_server.h"
#include "support/web_client.h"

namespace isoseam::test {

struct Served {
    explicit Served(const WebLimits& limits = {}, std::vector<std::string> names = {})
        : server({"127.0.0.1", 0, std::move(names)}, limits, service, [this](const std::string& text) {
              const std::lock_guard lock(mutex);
              faults.push_back(text);
          }) {}

    WebClient client(int receive_buffer_bytes = 0) {
        return WebClient(server.port(), 5, receive_buffer_bytes);
    }

    std::mutex mutex;
    std::vector<std::string> faults;
    StubService service;
    WebServer server;
};

// Whether `condition` comes true within five seconds: long, since a machine that is busy is no fault.
inline bool comes_true(const std::function<bool()>& condition) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(5);
    while (std::chrono::steady_clock::now() < end) {
        if (condition()) {
            return true;
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return condition();
}

}  // namespace isoseam::test
