#pragma once
// A stand-in for a lecture: one question, whose answers the desk sees. As thin as can be, so that what is
// measured is the web server.

#include <cstdint>
#include <functional>
#include <string>

namespace isoseam::bench {

struct StandIn {
    std::string room = "K7QX2P";
    std::string desk = "secret-of-the-desk";
    int choices = 4;
};

// Serves on a free port of 127.0.0.1, calls `listening` with it, and goes on until `wait_for_end` comes back.
void serve_stand_in(const StandIn& lecture, const std::function<void(std::uint16_t)>& listening,
                    const std::function<void()>& wait_for_end);

}  // namespace isoseam::bench
