#pragma once
// Work that is done on several threads, whose results are used in order.
//
//     in_order(files.size(), [&](std::size_t i) { return parsed(files[i]); }, [&](Session s) { write(s); });

#include <algorithm>
#include <condition_variable>
#include <cstddef>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>
#include <type_traits>
#include <vector>

#include "base/processors.h"

namespace isoseam {

// Calls make(0) .. make(count - 1) on several threads, and use() with what they return in that order on the
// calling thread. No more than `ahead` results wait at a time, so that memory stays bounded. What make()
// throws is thrown at its turn.
template <class Make, class Use>
void in_order(std::size_t count, const Make& make, const Use& use) {
    using Made = std::invoke_result_t<const Make&, std::size_t>;
    struct Slot {
        std::optional<Made> made;
        std::exception_ptr error;
        bool ready = false;
    };
    const std::size_t threads = std::max<std::size_t>(1, std::min(usable_processors(), count));
    const std::size_t ahead = 4 * threads;
    std::vector<Slot> slots(ahead);
    std::mutex mutex;
    std::condition_variable made_one;
    std::condition_variable used_one;
    std::size_t begun = 0;
    std::size_t used = 0;
    bool stopped = false;

    const auto work = [&] {
        std::unique_lock lock(mutex);
        for (;;) {
            used_one.wait(lock, [&] { return stopped || begun >= count || begun < used + ahead; });
            if (stopped || begun >= count) {
                return;
            }
            const std::size_t index = begun++;
            Slot slot;
            lock.unlock();
            try {
                slot.made.emplace(make(index));
            } catch (...) {
                slot.error = std::current_exception();
            }
            slot.ready = true;
            lock.lock();
            slots[index % ahead] = std::move(slot);
            made_one.notify_one();
        }
    };
    // Ends the threads however this function ends.
    struct Crew {
        std::vector<std::jthread> members;
        std::mutex& mutex;
        std::condition_variable& wake;
        bool& stopped;
        ~Crew() {
            {
                const std::lock_guard lock(mutex);
                stopped = true;
            }
            wake.notify_all();
        }
    } crew{{}, mutex, used_one, stopped};
    for (std::size_t i = 0; i < threads; ++i) {
        crew.members.emplace_back(work);
    }
    for (std::size_t index = 0; index < count; ++index) {
        Slot slot;
        {
            std::unique_lock lock(mutex);
            Slot& next = slots[index % ahead];
            made_one.wait(lock, [&] { return next.ready; });
            slot = std::move(next);
            next = Slot{};
            ++used;
        }
        used_one.notify_all();
        if (slot.error) {
            std::rethrow_exception(slot.error);
        }
        use(std::move(*slot.made));
    }
}

}  // namespace isoseam
