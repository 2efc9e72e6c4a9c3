#pragma once
#include <functional>
#include <memory>
#include <string>

#include "io/try/answer.hpp"

namespace ovolo::io {

/// Serves the page for trying a scene's numbers, on 127.0.0.1 only. Requests carry all their settings:
/// several pages do not disturb each other. Requests for another host or from another origin are refused.
class TryServer {
 public:
  /// Reads the scene's text; throws SceneError when it cannot be read.
  /// What `ending` throws ends the answers under way.
  TryServer(const std::filesystem::path& scene, CloseUpMaker close_up, StopCheck ending = {});
  ~TryServer();
  TryServer(const TryServer&) = delete;
  TryServer& operator=(const TryServer&) = delete;

  /// Takes the port, or any free one for 0; the port taken, 0 when it is not to be had.
  int bind(int port);
  /// Serves until `stop`.
  void run();
  /// May be called from another thread.
  void stop();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace ovolo::io
