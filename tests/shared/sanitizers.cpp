// SPDX-License-Identifier: GPL-3.0-or-later
// Linked into the program and every test of the presets "sanitize" and "thread": what is not to count, library by
// library. All else counts.
#ifdef __SANITIZE_ADDRESS__

/// Whole stacks: without them nobody sees which library it was.
extern "C" const char* __asan_default_options() { return "fast_unwind_on_malloc=0"; }

/// Tests read what the program prints.
extern "C" const char* __lsan_default_options() { return "print_suppressions=0"; }

extern "C" const char* __lsan_default_suppressions() {
  return
      // The kernel's STEP code keeps a few kilobytes of statics for good, and forgets an editor's arrays and a
      // direction.
      "leak:libTKXSBase\nleak:libTKSTEP\nleak:libTKXDESTEP\n"
      // Pango has fontconfig read the machine's settings, in a thread that may still be at it when a program ends.
      "leak:libfontconfig\n"
      // The ZIP reader of the 3MF library in the tests does not give back all it took.
      "leak:libzip\n";
}

#endif

#ifdef __SANITIZE_THREAD__

/// Tests read what the program prints.
extern "C" const char* __tsan_default_options() { return "print_suppressions=0"; }

extern "C" const char* __tsan_default_suppressions() {
  return
      // Pango and what it stands on keep their locks where the sanitizer cannot see them.
      "race:libpango\nrace:libpangoft2\nrace:libharfbuzz\nrace:libfontconfig\nrace:libglib-2.0\n";
}

#endif
