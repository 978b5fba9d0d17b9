// SPDX-License-Identifier: GPL-3.0-or-later
// Files that appear whole or not at all.
#pragma once

#include <algorithm>
#include <iterator>
#include <string>
#include <utility>
#include <vector>

namespace peepwright {

/// Results held in memory until all of them are ready; then each is written beside its target, flushed to the
/// disk, and only when every one is there are they renamed into place.
class OutputSet {
 public:
  /// `name` is a plain file name.
  void add(std::string name, std::string bytes) { files_.emplace_back(std::move(name), std::move(bytes)); }

  /// Everything of `more`, after what is here.
  void add(OutputSet more) {
    std::ranges::move(more.files_, std::back_inserter(files_));
    std::ranges::move(more.retired_, std::back_inserter(retired_));
  }

  /// A file of an earlier run that would stand beside these as if it belonged to them; removed once they are in place.
  void retire(std::string name) { retired_.push_back(std::move(name)); }

  /// Writes into `folder`, which is made if it is not there. Throws Error(write), after removing what it had
  /// begun, when anything cannot be written. Until the first file is put in place nothing of an
  /// earlier run has changed; the message says so, or which files are new already.
  void write(const std::string& folder) const;

  [[nodiscard]] std::vector<std::string> names() const;

 private:
  std::vector<std::pair<std::string, std::string>> files_;
  std::vector<std::string> retired_;
};

}  // namespace peepwright
