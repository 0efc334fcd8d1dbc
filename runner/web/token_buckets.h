#pragma once
// Limits how often something may happen, by token buckets, one for each key.

#include <chrono>
#include <string>
#include <unordered_map>

#include "runner/web/web_limits.h"

namespace isoseam {

using WebTime = std::chrono::steady_clock::time_point;

class TokenBuckets {
  public:
    explicit TokenBuckets(const WebRate& rate) : rate_(rate) {}  // both numbers of the rate are above 0

    // Returns the seconds until this key has a token; 0 when it has one now.
    double wait_s(const std::string& key, WebTime now) const;
    // Takes a token. wait_s() must have returned 0.
    void take(const std::string& key, WebTime now);
    // Forgets the full buckets, since a full bucket is like one that was never used.
    void forget_full(WebTime now);
    std::size_t size() const { return buckets_.size(); }

  private:
    struct Bucket {
        double tokens = 0.0;
        WebTime at;
    };
    double tokens(const Bucket& bucket, WebTime now) const;

    WebRate rate_;
    std::unordered_map<std::string, Bucket> buckets_;
};

}  // namespace isoseam
