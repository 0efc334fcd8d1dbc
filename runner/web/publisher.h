#pragma once
// A thread that tells browsers what has changed. It tells soon, but not too often, and from time to time even
// if nothing has changed.

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
    // Returns what there is to tell now, by channel. It is called on the publisher's thread, which holds no
    // lock meanwhile.
    using Told = std::vector<std::pair<std::string, std::string>>;
    using Events = std::function<Told()>;

    // Between two rounds lies at least `pause` and at most `pulse`.
    Publisher(std::chrono::milliseconds pause, std::chrono::milliseconds pulse)
        : pause_(pause), pulse_(pulse) {}
    ~Publisher() { end(); }
    Publisher(const Publisher&) = delete;
    Publisher& operator=(const Publisher&) = delete;

    // Must not have begun, unless it has ended again (checked).
    void begin(Events events, Publish publish);
    // Says that something has changed. May be called from any thread, also before begin().
    void wake();
    // Ends after a last round. Does nothing if the publisher has not begun.
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
