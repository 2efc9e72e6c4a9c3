#include "io/try/server.hpp"

#include <fmt/format.h>
#include <httplib.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "io/error.hpp"
#include "io/file.hpp"
#include "io/output_folder.hpp"
#include "io/try/files.hpp"
#include "io/try/newest.hpp"
#include "io/try/page.hpp"
#include "sim/error.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kLargestRequest = std::size_t{8} << 20;
constexpr const char* kHost = "127.0.0.1";
constexpr const char* kJson = "application/json";

void refuse(httplib::Response& response, int status, const std::string& text) {
  response.status = status;
  response.set_content(text + "\n", "text/plain; charset=utf-8");
}

// As it is: `set_content` would compress it, with brotli at its slowest, which takes seconds for a page.
void send(httplib::Response& response, std::string text, const char* type) {
  const auto held = std::make_shared<const std::string>(std::move(text));
  if (held->empty()) return;
  response.set_content_provider(held->size(), type,
                                [held](std::size_t from, std::size_t length, httplib::DataSink& sink) {
                                  return sink.write(held->data() + from, length);
                                });
}

// Nothing but the page's own script, pictures and answers; never inside another page.
constexpr const char* kPolicy =
    "default-src 'none'; script-src 'unsafe-inline' blob:; style-src 'unsafe-inline'; img-src data: blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

}  // namespace

struct TryServer::Impl {
  Sample sample;
  CloseUpMaker close_up;
  StopCheck ending;
  Newest newest;
  httplib::Server server;
  int port = 0;

  // A page of another site can send requests here, but not with our host's name and its own origin hidden.
  bool allowed(const httplib::Request& request, httplib::Response& response) const {
    const std::string ours[] = {fmt::format("{}:{}", kHost, port), fmt::format("localhost:{}", port)};
    const std::string host = request.get_header_value("Host");
    if (request.get_header_value_count("Host") != 1 || (host != ours[0] && host != ours[1])) {
      refuse(response, 403, "this server answers to its own address only");
      return false;
    }
    if (request.has_header("Origin") && request.get_header_value("Origin") != "http://" + host) {
      refuse(response, 403, "this server answers to its own page only");
      return false;
    }
    if (request.method == "POST" && request.get_header_value("Content-Type") != kJson) {
      refuse(response, 415, "send JSON");
      return false;
    }
    return true;
  }

  StopCheck stop_of(const std::string& body) {
    const Asker asker = asker_of(body);
    return newest.of(asker.page, asker.turn, ending);
  }

  void post(const char* path, std::function<std::string(const std::string&)> answer) {
    server.Post(path,
                [answer = std::move(answer)](const httplib::Request& request, httplib::Response& response) {
                  try {
                    send(response, answer(request.body), kJson);
                  } catch (const std::invalid_argument& e) {
                    refuse(response, 400, e.what());
                  } catch (const WriteError& e) {
                    refuse(response, 507, e.what());
                  } catch (const Interrupted&) {
                    refuse(response, 409, "not finished: asked again, or ending");
                  } catch (const std::exception& e) {
                    refuse(response, 500, e.what());
                  }
                });
  }

  void routes() {
    server.set_payload_max_length(kLargestRequest);
    server.set_tcp_nodelay(true);
    server.set_read_timeout(10, 0);
    server.set_keep_alive_max_count(10000);
    server.set_default_headers({{"Cache-Control", "no-store"},
                                {"X-Content-Type-Options", "nosniff"},
                                {"Referrer-Policy", "no-referrer"},
                                {"Content-Security-Policy", kPolicy}});
    server.set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
      return allowed(request, response) ? httplib::Server::HandlerResponse::Unhandled
                                        : httplib::Server::HandlerResponse::Handled;
    });
    server.Get("/", [this](const httplib::Request&, httplib::Response& response) {
      send(response, try_page(sample), "text/html; charset=utf-8");
    });
    post("/cut", [this](const std::string& body) {
      stop_of(body);  // a turn that shapes the edge ends the page's long work for older ones
      return answer_cut(sample, body);
    });
    post("/window", [this](const std::string& body) { return answer_window(sample, body, stop_of(body)); });
    post("/best", [this](const std::string& body) { return answer_best(sample, body, stop_of(body)); });
    post("/whole",
         [this](const std::string& body) { return answer_whole(sample, body, close_up, stop_of(body)); });
    post("/picture",
         [this](const std::string& body) { return answer_picture(sample, body, close_up, stop_of(body)); });
    post("/shop", [this](const std::string& body) { return answer_shop(sample, body, stop_of(body)); });
    post("/save", [this](const std::string& body) { return save_scene(sample, body); });
    post("/dropped", [this](const std::string& body) { return keep_dropped(sample, body); });
  }
};

TryServer::TryServer(const std::filesystem::path& scene, CloseUpMaker close_up, StopCheck ending)
    : impl_(std::make_unique<Impl>()) {
  impl_->sample = {read_file(scene), scene.string(), scene.parent_path()};
  impl_->close_up = std::move(close_up);
  impl_->ending = std::move(ending);
  impl_->routes();
}

TryServer::~TryServer() = default;

int TryServer::bind(int port) {
  // A port that another server listens on is refused, not shared with it.
  impl_->server.set_socket_options([](socket_t sock) {
    const int yes = 1;
    setsockopt(sock, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  });
  if (port == 0)
    impl_->port = std::max(0, impl_->server.bind_to_any_port(kHost));
  else
    impl_->port = impl_->server.bind_to_port(kHost, port) ? port : 0;
  return impl_->port;
}

void TryServer::run() { impl_->server.listen_after_bind(); }

void TryServer::stop() { impl_->server.stop(); }

}  // namespace ovolo::io
