/* SPDX-License-Identifier: MIT */
/* The only file that knows libuv: timers, signals, UDP, TCP, foreign file descriptors and name
 * look-ups of one event loop.
 *
 * Each handle is made by x_open() and given back by x_close(); closing is finished by the loop
 * itself, and loop_free() proves that nothing is left.
 */
#ifndef GAINWARDEN_LOOP_H
#define GAINWARDEN_LOOP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/socket.h>

struct loop;
struct stand;
struct loop_timer;
struct loop_signal;
struct loop_udp;
struct loop_tcp;
struct loop_poll;
struct loop_lookup;

typedef void loop_fn(void *context);

/* Where the system refuses, the program ends. */
struct loop *loop_new(void);

/* A loop whose times and timers are those of a clock that stands (stand.h), which outlives it: it
 * is not run, and nothing but timers is opened in it. */
struct loop *loop_new_standing(struct stand *stand);

/* Runs what is still closing and frees the loop. Handles that were left open are our own bug: they
 * are named, and the program ends. */
void loop_free(struct loop *loop);

/* Runs until loop_stop(). */
void loop_run(struct loop *loop);
void loop_stop(struct loop *loop);

/* Monotonic ms, as of now. */
int64_t loop_now_ms(const struct loop *loop);

/* The same in microseconds, for what is measured. */
int64_t loop_now_us(const struct loop *loop);

/* Monotonic ms as of the last time the loop woke up: what arrives together has one time. */
int64_t loop_woke_ms(const struct loop *loop);

/* Calls fn once before each time the loop goes to sleep. One such hook per loop. */
void loop_before_sleep(struct loop *loop, loop_fn *fn, void *context);

struct loop_timer *loop_timer_open(struct loop *loop, loop_fn *fn, void *context);
/* Fires after `after_ms`, then every `repeat_ms` when that is not 0. Starting again moves it. What
 * came before a timer was due is read before it fires, however late the program is. */
void loop_timer_start(struct loop_timer *timer, int64_t after_ms, int64_t repeat_ms);
void loop_timer_stop(struct loop_timer *timer);
void loop_timer_close(struct loop_timer *timer);

typedef void loop_signal_fn(void *context, int number);
struct loop_signal *loop_signal_open(struct loop *loop, int number, loop_signal_fn *fn,
                                     void *context);
void loop_signal_close(struct loop_signal *signal);

/* Bytes of an IPv4 or IPv6 address. */
socklen_t loop_address_size(const struct sockaddr *address);

/* What came in; the bytes are valid during the call.
 *
 * UDP: called for each datagram from the peer, and with bytes NULL and the text of the error when
 * the system reports one (a closed port at the other side).
 *
 * TCP: called with bytes and error NULL when the connection stands, with bytes when some came, and
 * last with the text of the error when it could not be made or has ended; then it is to be closed.
 */
typedef void loop_bytes_fn(void *context, const uint8_t *bytes, size_t length, const char *error);

struct loop_udp_ports {
    bool any;  /* take datagrams from every port of the peer's address, not only from its own */
    int local; /* our own port; 0: the system's choice */
};

/* A socket that sends to `peer` and takes datagrams from it alone. NULL with *error set when
 * refused. */
struct loop_udp *loop_udp_open(struct loop *loop, const struct sockaddr *peer,
                               struct loop_udp_ports ports, loop_bytes_fn *fn, void *context,
                               const char **error);

/* Datagrams that came from elsewhere and were dropped. With `any` false the system drops them
 * itself, uncounted. */
uint64_t loop_udp_strangers(const struct loop_udp *udp);
/* Copies the bytes. A datagram the system cannot take is dropped, as any network may. */
void loop_udp_send(struct loop_udp *udp, const uint8_t *bytes, size_t length);
void loop_udp_close(struct loop_udp *udp);

/* Begins to connect to `peer`; the rest comes by `fn`, never from inside this call. NULL when the
 * system refuses. */
struct loop_tcp *loop_tcp_open(struct loop *loop, const struct sockaddr *peer, loop_bytes_fn *fn,
                               void *context);
/* Copies the bytes. False when they were dropped: not connected, or the peer takes nothing. */
bool loop_tcp_send(struct loop_tcp *tcp, const uint8_t *bytes, size_t length);
void loop_tcp_close(struct loop_tcp *tcp);

/* Watches a file descriptor that another library owns. */
typedef void loop_poll_fn(void *context, bool readable, bool writable);
struct loop_poll *loop_poll_open(struct loop *loop, int fd, loop_poll_fn *fn, void *context);
void loop_poll_want(struct loop_poll *poll, bool readable, bool writable);
void loop_poll_close(struct loop_poll *poll);

/* Looks up host and port without blocking. `peers` are its addresses, the one to take first and
 * NULL behind the last; valid during the call. It is NULL, with the reason, when it does not
 * resolve. fn is never called before this has returned, and not at all after
 * loop_lookup_cancel(). */
typedef void loop_lookup_fn(void *context, const struct sockaddr *const *peers, const char *error);
struct loop_lookup *loop_lookup_open(struct loop *loop, const char *host, int port,
                                     loop_lookup_fn *fn, void *context);
void loop_lookup_cancel(struct loop_lookup *lookup);

#endif
