#pragma once
// A thread that tells browsers of what changed: soon, but not too often, and now and then even if nothing
// did.

#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <utility>
#include <vector>

namespace isoseam {

class Publisher {
  public:
    using Publish = std::function<void(const std::string& channel, const std::string& event)>;
    // What there is to tell now, by channel; on the publisher's thread, which holds no lock meanwhile.
    using Events = std::function<std::vector<std::pair<std::string, std::string>>()>;

    // `pause` lies between two rounds at least, and `pulse` at most.
    Publisher(std::chrono::milliseconds pause, std::chrono::milliseconds pulse)
        : pause_(pause), pulse_(pulse) {}
    ~Publisher() { end(); }
    Publisher(const Publisher&) = delete;
    Publisher& operator=(const Publisher&) = delete;

    void begin(Events events, Publish publish);  // not begun yet, or ended (checked)
    // Something changed. From any thread, also before begin().
    void wake();
    // After a last round. Does nothing where nothing was begun.
    void end();

  private:
    void run();

    const std::chrono::milliseconds pause_;
    const std::chrono::milliseconds pulse_;
    Events events_;
    Publish publish_;
    std::mutex mutex_;
    std::condition_variable woken_;
    bool stale_ = false;
    bool ending_ = false;
    std::thread thread_;
};

}  // namespace isoseam
