#include "runner/web/publisher.h"

#include "base/errors.h"

namespace isoseam {

void Publisher::begin(Events events, Publish publish) {
    ISOSEAM_CHECK(!thread_.joinable());
    events_ = std::move(events);
    publish_ = std::move(publish);
    ending_ = false;
    thread_ = std::thread([this] { run(); });
}

void Publisher::wake() {
    {
        const std::lock_guard lock(mutex_);
        stale_ = true;
    }
    woken_.notify_one();
}

void Publisher::end() {
    if (!thread_.joinable())
        return;
    {
        const std::lock_guard lock(mutex_);
        ending_ = true;
    }
    woken_.notify_one();
    thread_.join();
}

void Publisher::run() {
    for (bool last = false; !last;) {
        {
            std::unique_lock lock(mutex_);
            woken_.wait_for(lock, pulse_, [&] { return ending_ || stale_; });
            last = ending_;
            stale_ = false;
        }
        for (const auto& [channel, event] : events_())
            publish_(channel, event);
        if (!last)
            std::this_thread::sleep_for(pause_);
    }
}

}  // namespace isoseam
