// SPDX-License-Identifier: GPL-3.0-or-later
// Shared by writing and reading back. Inside this room only.
#pragma once

#include <mutex>

namespace peepwright {

/// The kernel's STEP code keeps state of its own for the whole process: one thread at a time.
std::mutex& step_lock();

}  // namespace peepwright
