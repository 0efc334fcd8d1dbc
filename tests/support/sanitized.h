#pragma once
// Says whether the address or the thread sanitizer is at work: both reserve terabytes of addresses.

namespace isoseam::test {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)  // g++
constexpr bool kSanitized = true;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)  // clang
constexpr bool kSanitized = true;
#else
constexpr bool kSanitized = false;
#endif
#else
constexpr bool kSanitized = false;
#endif

}  // namespace isoseam::test
