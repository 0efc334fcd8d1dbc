#pragma once
// An X server without a monitor, for tests that need a screen.

#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <stdexcept>
#include <string>

namespace isoseam::test {

// Xvfb with one screen on a free display, for as long as it lives. Depth 24 has frame buffers of 8 bits per
// channel, depth 30 of 10.
class VirtualScreen {
  public:
    VirtualScreen(int width_px, int height_px, int depth) {
        int ends[2];
        if (::pipe2(ends, O_CLOEXEC) != 0)
            throw std::runtime_error("no pipe to Xvfb");
        const std::string size =
            std::to_string(width_px) + "x" + std::to_string(height_px) + "x" + std::to_string(depth);
        const pid_t parent = ::getpid();
        process_ = ::fork();
        if (process_ == 0) {
            ::prctl(PR_SET_PDEATHSIG, SIGTERM);
            if (::getppid() != parent)
                ::_exit(1);
            const std::string end = std::to_string(::dup(ends[1]));
            const int nowhere = ::open("/dev/null", O_WRONLY);
            ::dup2(nowhere, STDOUT_FILENO);
            ::dup2(nowhere, STDERR_FILENO);
            ::execlp("Xvfb", "Xvfb", "-displayfd", end.c_str(), "-screen", "0", size.c_str(), "-nolisten",
                     "tcp", static_cast<char*>(nullptr));
            ::_exit(127);
        }
        ::close(ends[1]);
        // Xvfb writes its display's number and a line end once it is ready.
        std::string number;
        for (char c = 0; process_ > 0 && ::read(ends[0], &c, 1) == 1 && c != '\n';)
            number += c;
        ::close(ends[0]);
        if (number.empty()) {
            stop();
            throw std::runtime_error("Xvfb does not start: is the package xvfb installed?");
        }
        display_ = ":" + number;
    }
    ~VirtualScreen() { stop(); }
    VirtualScreen(const VirtualScreen&) = delete;
    VirtualScreen& operator=(const VirtualScreen&) = delete;

    const std::string& display() const { return display_; }  // for DISPLAY

    // Programs and SDL that start from now on draw here.
    void use() const {
        ::setenv("DISPLAY", display_.c_str(), 1);
        ::setenv("SDL_VIDEODRIVER", "x11", 1);
    }

  private:
    void stop() {
        if (process_ > 0) {
            ::kill(process_, SIGTERM);
            ::waitpid(process_, nullptr, 0);
            process_ = 0;
        }
    }

    pid_t process_ = 0;
    std::string display_;
};

}  // namespace isoseam::test
