/* SPDX-License-Identifier: MIT */
#include "loop/loop.h"

#include <netdb.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <uv.h>

#include "core/need.h"
#include "loop/times.h"

enum {
    RECEIVE_CHUNKS = 20, /* datagrams one system call may bring; libuv wants 64 KiB for each */
    RECEIVE_CHUNK = 64 * 1024,
    SOCKET_BUFFER = 4 * 1024 * 1024,
    TCP_QUEUE = 256 * 1024, /* bytes that may wait for a slow peer */
    LATE_MS = 50            /* a timer that is due for so long lets sockets go first */
};

struct loop {
    uv_loop_t uv;
    struct system_timer *late;      /* those that do */
    uv_check_t behind_sockets;      /* when they fire, */
    uv_idle_t awake;                /* without sleeping before */
    const struct loop_times *times; /* and what has them */
    void *times_from;
    uv_prepare_t prepare;
    loop_fn *before_sleep;
    void *context;
    char *receive; /* shared by all sockets: a batch is read and handed out before the next */
};

struct system_timer {
    struct loop_timer timer; /* by which it is known */
    uv_timer_t uv;
    uint64_t due_ms;
    struct system_timer *next; /* in the loop's list of late ones */
    loop_fn *fn;
    void *context;
};

struct loop_signal {
    uv_signal_t uv;
    loop_signal_fn *fn;
    void *context;
};

struct loop_udp {
    uv_udp_t uv;
    loop_bytes_fn *fn;
    void *context;
    bool connected, closing;
    struct sockaddr_storage peer; /* of a socket that is not connected */
    uint64_t strangers;
};

struct loop_tcp {
    uv_tcp_t uv;
    uv_connect_t connect;
    loop_bytes_fn *fn;
    void *context;
    bool ended;
};

struct loop_poll {
    uv_poll_t uv;
    loop_poll_fn *fn;
    void *context;
};

enum { PEERS_MOST = 32 };

struct loop_lookup {
    uv_getaddrinfo_t uv;
    loop_lookup_fn *fn; /* NULL when cancelled */
    void *context;
    struct loop_timer *refused; /* one that could not begin is told by this; else NULL */
    int status;
};

/* What has to wait for the socket; its bytes travel with the request. */
struct send {
    union {
        uv_udp_send_t udp;
        uv_write_t tcp;
    } uv;
    uv_buf_t buffer;
    char bytes[];
};

/* Frees the struct that a handle is in. */
static void
free_handle(uv_handle_t *handle)
{
    free(handle->data);
}

/* Of a struct whose first member it is; NULL: there is none. */
static void
close_handle(void *handle)
{
    if (handle)
        uv_close(handle, free_handle);
}

/* ---- timers that are late ---- */

/* A program that was stopped, or had no processor for a while, finds its timers due before it reads
 * what came meanwhile: libuv looks at sockets behind them. What came in time shall not be late, nor
 * a peer silent that was not heard yet: such a timer fires once sockets were looked at. */

static void
on_awake(uv_idle_t *awake)
{
    (void)awake;
}

static void
forget_late(struct loop *loop, const struct system_timer *timer)
{
    struct system_timer **at = &loop->late;

    while (*at && *at != timer)
        at = &(*at)->next;
    if (*at)
        *at = timer->next;
}

static void
fire_late(uv_check_t *check)
{
    struct loop *loop = check->data;

    while (loop->late) {
        struct system_timer *timer = loop->late;

        loop->late = timer->next;
        timer->fn(timer->context);
    }
    uv_check_stop(&loop->behind_sockets);
    uv_idle_stop(&loop->awake);
}

/* The first that is late fires first. */
static void
add_late(struct loop *loop, struct system_timer *timer)
{
    struct system_timer **end = &loop->late;

    while (*end)
        end = &(*end)->next;
    *end = timer;
    timer->next = NULL;
    uv_check_start(&loop->behind_sockets, fire_late);
    uv_idle_start(&loop->awake, on_awake);
}

/* ---- the system's times and timers ---- */

static int64_t
system_now_us(const void *from)
{
    (void)from;
    return (int64_t)(uv_hrtime() / 1000);
}

static int64_t
system_woke_ms(const void *from)
{
    const struct loop *loop = from;

    return (int64_t)uv_now(&loop->uv);
}

static void
on_timer(uv_timer_t *uv)
{
    struct system_timer *timer = uv->data;
    struct loop *loop = uv->loop->data;
    bool late = uv_now(uv->loop) >= timer->due_ms + LATE_MS;

    timer->due_ms = uv_now(uv->loop) + uv_timer_get_repeat(uv);
    if (late)
        add_late(loop, timer);
    else
        timer->fn(timer->context);
}

static struct loop_timer *
open_timer(void *from, loop_fn *fn, void *context)
{
    struct loop *loop = from;
    struct system_timer *timer = need_memory(1, sizeof *timer);

    *timer = (struct system_timer){{loop->times}, .fn = fn, .context = context};
    uv_timer_init(&loop->uv, &timer->uv);
    timer->uv.data = timer;
    return &timer->timer;
}

/* Of a timer that shall not fire, though it be due. */
static uv_timer_t *
silence(struct loop_timer *timer)
{
    struct system_timer *system = (struct system_timer *)timer;

    forget_late(system->uv.loop->data, system);
    return &system->uv;
}

static void
start_timer(struct loop_timer *timer, int64_t after_ms, int64_t repeat_ms)
{
    uv_timer_t *uv = silence(timer);
    uint64_t wait_ms = (uint64_t)(after_ms < 0 ? 0 : after_ms);

    /* libuv counts from the time it last looked at the clock, which may lie behind */
    uv_update_time(uv->loop);
    ((struct system_timer *)timer)->due_ms = uv_now(uv->loop) + wait_ms;
    uv_timer_start(uv, on_timer, wait_ms, (uint64_t)repeat_ms);
}

static void
stop_timer(struct loop_timer *timer)
{
    uv_timer_stop(silence(timer));
}

static void
close_timer(struct loop_timer *timer)
{
    uv_close((uv_handle_t *)silence(timer), free_handle);
}

static const struct loop_times system_times = {system_now_us, system_woke_ms, open_timer,
                                               start_timer,   stop_timer,     close_timer};

/* ---- the loop ---- */

static void
on_prepare(uv_prepare_t *prepare)
{
    struct loop *loop = prepare->data;

    if (loop->before_sleep)
        loop->before_sleep(loop->context);
}

struct loop *
loop_new(void)
{
    struct loop *loop = need_memory(1, sizeof *loop);

    if (uv_loop_init(&loop->uv) != 0)
        abort();
    loop->times = &system_times;
    loop->times_from = loop;
    loop->receive = need_memory(RECEIVE_CHUNKS, RECEIVE_CHUNK);
    loop->uv.data = loop;
    uv_prepare_init(&loop->uv, &loop->prepare);
    loop->prepare.data = loop;
    uv_prepare_start(&loop->prepare, on_prepare);
    uv_unref((uv_handle_t *)&loop->prepare);
    uv_check_init(&loop->uv, &loop->behind_sockets);
    uv_idle_init(&loop->uv, &loop->awake);
    loop->behind_sockets.data = loop;
    return loop;
}

struct loop *
loop_new_standing(struct stand *stand)
{
    struct loop *loop = loop_new();

    loop->times = &stand_times;
    loop->times_from = stand;
    return loop;
}

static void
name_survivor(uv_handle_t *handle, void *context)
{
    (void)context;
    fprintf(stderr, "gainwarden: bug: a %s handle was left open\n",
            uv_handle_type_name(handle->type));
}

void
loop_free(struct loop *loop)
{
    uv_close((uv_handle_t *)&loop->prepare, NULL);
    uv_close((uv_handle_t *)&loop->behind_sockets, NULL);
    uv_close((uv_handle_t *)&loop->awake, NULL);
    uv_run(&loop->uv, UV_RUN_NOWAIT);
    while (uv_loop_alive(&loop->uv) && uv_run(&loop->uv, UV_RUN_ONCE) != 0)
        ;
    if (uv_loop_close(&loop->uv) != 0) {
        uv_walk(&loop->uv, name_survivor, NULL);
        abort();
    }
    free(loop->receive);
    free(loop);
}

void
loop_run(struct loop *loop)
{
    uv_run(&loop->uv, UV_RUN_DEFAULT);
}

void
loop_stop(struct loop *loop)
{
    uv_stop(&loop->uv);
}

int64_t
loop_now_us(const struct loop *loop)
{
    return loop->times->now_us(loop->times_from);
}

int64_t
loop_now_ms(const struct loop *loop)
{
    return loop_now_us(loop) / 1000;
}

int64_t
loop_woke_ms(const struct loop *loop)
{
    return loop->times->woke_ms(loop->times_from);
}

void
loop_before_sleep(struct loop *loop, loop_fn *fn, void *context)
{
    loop->before_sleep = fn;
    loop->context = context;
}

/* ---- timers ---- */

struct loop_timer *
loop_timer_open(struct loop *loop, loop_fn *fn, void *context)
{
    return loop->times->open(loop->times_from, fn, context);
}

void
loop_timer_start(struct loop_timer *timer, int64_t after_ms, int64_t repeat_ms)
{
    timer->times->start(timer, after_ms, repeat_ms);
}

void
loop_timer_stop(struct loop_timer *timer)
{
    timer->times->stop(timer);
}

void
loop_timer_close(struct loop_timer *timer)
{
    if (timer)
        timer->times->close(timer);
}

/* ---- signals ---- */

static void
on_signal(uv_signal_t *uv, int number)
{
    struct loop_signal *signal = uv->data;

    signal->fn(signal->context, number);
}

struct loop_signal *
loop_signal_open(struct loop *loop, int number, loop_signal_fn *fn, void *context)
{
    struct loop_signal *signal = need_memory(1, sizeof *signal);

    *signal = (struct loop_signal){.fn = fn, .context = context};
    uv_signal_init(&loop->uv, &signal->uv);
    signal->uv.data = signal;
    uv_signal_start(&signal->uv, on_signal, number);
    return signal;
}

void
loop_signal_close(struct loop_signal *signal)
{
    close_handle(signal);
}

/* ---- UDP ---- */

static void
give_buffer(uv_handle_t *handle, size_t suggested, uv_buf_t *buffer)
{
    const struct loop *loop = handle->loop->data;

    (void)suggested;
    *buffer = uv_buf_init(loop->receive, RECEIVE_CHUNKS * RECEIVE_CHUNK);
}

/* A copy, to be freed when it was sent or failed. */
static struct send *
copy_to_send(const uint8_t *bytes, size_t length)
{
    struct send *send = need_memory(1, sizeof *send + length);

    memcpy(send->bytes, bytes, length);
    send->buffer = uv_buf_init(send->bytes, (unsigned)length);
    return send;
}

/* Whether both are the same address, whatever the ports. */
static bool
same_host(const struct sockaddr *one, const struct sockaddr *other)
{
    if (one->sa_family != other->sa_family)
        return false;
    if (one->sa_family == AF_INET6)
        return memcmp(&((const struct sockaddr_in6 *)(const void *)one)->sin6_addr,
                      &((const struct sockaddr_in6 *)(const void *)other)->sin6_addr,
                      sizeof(struct in6_addr)) == 0;
    return ((const struct sockaddr_in *)(const void *)one)->sin_addr.s_addr ==
           ((const struct sockaddr_in *)(const void *)other)->sin_addr.s_addr;
}

static void
on_datagram(uv_udp_t *uv, ssize_t length, const uv_buf_t *buffer, const struct sockaddr *from,
            unsigned flags)
{
    struct loop_udp *udp = uv->data;

    if (udp->closing)
        return;
    if (length < 0)
        udp->fn(udp->context, NULL, 0, uv_strerror((int)length));
    else if (from && !udp->connected && !same_host(from, (const struct sockaddr *)&udp->peer))
        udp->strangers++;
    else if (from && !(flags & UV_UDP_PARTIAL))
        udp->fn(udp->context, (const uint8_t *)buffer->base, (size_t)length, NULL);
}

socklen_t
loop_address_size(const struct sockaddr *address)
{
    return address->sa_family == AF_INET6 ? sizeof(struct sockaddr_in6)
                                          : sizeof(struct sockaddr_in);
}

/* Binds to any address of ours; to the port, where one is given. */
static int
bind_udp(struct loop_udp *udp, int family, int port)
{
    struct sockaddr_storage own;

    if (family == AF_INET6)
        uv_ip6_addr("::", port, (struct sockaddr_in6 *)&own);
    else
        uv_ip4_addr("0.0.0.0", port, (struct sockaddr_in *)&own);
    return uv_udp_bind(&udp->uv, (const struct sockaddr *)&own, 0);
}

struct loop_udp *
loop_udp_open(struct loop *loop, const struct sockaddr *peer, struct loop_udp_ports ports,
              loop_bytes_fn *fn, void *context, const char **error)
{
    struct loop_udp *udp = need_memory(1, sizeof *udp);
    int size = SOCKET_BUFFER;
    int status = 0;

    *udp = (struct loop_udp){.fn = fn, .context = context, .connected = !ports.any};
    memcpy(&udp->peer, peer, loop_address_size(peer));
    uv_udp_init_ex(&loop->uv, &udp->uv, (unsigned)peer->sa_family | UV_UDP_RECVMMSG);
    udp->uv.data = udp;
    if (ports.any || ports.local)
        status = bind_udp(udp, peer->sa_family, ports.local);
    if (status == 0 && udp->connected)
        status = uv_udp_connect(&udp->uv, peer);
    if (status == 0) {
        uv_recv_buffer_size((uv_handle_t *)&udp->uv, &size); /* as much as the system gives */
        status = uv_udp_recv_start(&udp->uv, give_buffer, on_datagram);
    }
    if (status == 0)
        return udp;
    *error = uv_strerror(status);
    loop_udp_close(udp);
    return NULL;
}

uint64_t
loop_udp_strangers(const struct loop_udp *udp)
{
    return udp->strangers;
}

static void
on_sent(uv_udp_send_t *request, int status)
{
    (void)status;
    free(request);
}

void
loop_udp_send(struct loop_udp *udp, const uint8_t *bytes, size_t length)
{
    const struct sockaddr *to = udp->connected ? NULL : (const struct sockaddr *)&udp->peer;
    uv_buf_t buffer = uv_buf_init((char *)(uintptr_t)bytes, (unsigned)length);
    struct send *send;

    if (uv_udp_try_send(&udp->uv, &buffer, 1, to) != UV_EAGAIN)
        return;
    send = copy_to_send(bytes, length);
    if (uv_udp_send(&send->uv.udp, &udp->uv, &send->buffer, 1, to, on_sent) != 0)
        free(send);
}

void
loop_udp_close(struct loop_udp *udp)
{
    if (udp)
        udp->closing = true;
    close_handle(udp);
}

/* ---- TCP ---- */

static void
end_tcp(struct loop_tcp *tcp, const char *error)
{
    if (tcp->ended)
        return;
    tcp->ended = true;
    uv_read_stop((uv_stream_t *)&tcp->uv);
    tcp->fn(tcp->context, NULL, 0, error);
}

static void
on_read(uv_stream_t *stream, ssize_t length, const uv_buf_t *buffer)
{
    struct loop_tcp *tcp = stream->data;

    if (uv_is_closing((uv_handle_t *)stream))
        return;
    if (length < 0)
        end_tcp(tcp,
                length == UV_EOF ? "the desk closed the connection" : uv_strerror((int)length));
    else if (length > 0)
        tcp->fn(tcp->context, (const uint8_t *)buffer->base, (size_t)length, NULL);
}

static void
on_connect(uv_connect_t *connect, int status)
{
    struct loop_tcp *tcp = connect->data;

    if (uv_is_closing((uv_handle_t *)&tcp->uv))
        return;
    if (status == 0)
        status = uv_read_start((uv_stream_t *)&tcp->uv, give_buffer, on_read);
    if (status != 0) {
        end_tcp(tcp, uv_strerror(status));
        return;
    }
    uv_tcp_nodelay(&tcp->uv, 1);
    tcp->fn(tcp->context, NULL, 0, NULL);
}

struct loop_tcp *
loop_tcp_open(struct loop *loop, const struct sockaddr *peer, loop_bytes_fn *fn, void *context)
{
    struct loop_tcp *tcp = need_memory(1, sizeof *tcp);

    *tcp = (struct loop_tcp){.fn = fn, .context = context};
    uv_tcp_init(&loop->uv, &tcp->uv);
    tcp->uv.data = tcp->connect.data = tcp;
    if (uv_tcp_connect(&tcp->connect, &tcp->uv, peer, on_connect) == 0)
        return tcp;
    loop_tcp_close(tcp);
    return NULL;
}

static void
on_written(uv_write_t *request, int status)
{
    (void)status; /* an error ends the reading side too */
    free(request);
}

bool
loop_tcp_send(struct loop_tcp *tcp, const uint8_t *bytes, size_t length)
{
    struct send *send;

    if (!uv_is_writable((uv_stream_t *)&tcp->uv) ||
        uv_stream_get_write_queue_size((uv_stream_t *)&tcp->uv) > TCP_QUEUE)
        return false;
    send = copy_to_send(bytes, length);
    if (uv_write(&send->uv.tcp, (uv_stream_t *)&tcp->uv, &send->buffer, 1, on_written) == 0)
        return true;
    free(send);
    return false;
}

void
loop_tcp_close(struct loop_tcp *tcp)
{
    close_handle(tcp);
}

/* ---- foreign file descriptors ---- */

static void
on_poll(uv_poll_t *uv, int status, int events)
{
    struct loop_poll *poll = uv->data;

    /* on an error both are tried, so that the owner of the descriptor meets it */
    poll->fn(poll->context, status < 0 || (events & UV_READABLE) != 0,
             status < 0 || (events & UV_WRITABLE) != 0);
}

struct loop_poll *
loop_poll_open(struct loop *loop, int fd, loop_poll_fn *fn, void *context)
{
    struct loop_poll *poll = need_memory(1, sizeof *poll);

    *poll = (struct loop_poll){.fn = fn, .context = context};
    if (uv_poll_init(&loop->uv, &poll->uv, fd) != 0) {
        free(poll);
        return NULL;
    }
    poll->uv.data = poll;
    return poll;
}

void
loop_poll_want(struct loop_poll *poll, bool readable, bool writable)
{
    uv_poll_start(&poll->uv, (readable ? UV_READABLE : 0) | (writable ? UV_WRITABLE : 0), on_poll);
}

void
loop_poll_close(struct loop_poll *poll)
{
    close_handle(poll);
}

/* ---- name look-ups ---- */

static void
on_lookup(uv_getaddrinfo_t *uv, int status, struct addrinfo *found)
{
    struct loop_lookup *lookup = uv->data;
    const struct sockaddr *peers[PEERS_MOST + 1] = {NULL};
    int count = 0;

    for (const struct addrinfo *at = found; at && count < PEERS_MOST; at = at->ai_next)
        peers[count++] = at->ai_addr;
    if (lookup->fn)
        lookup->fn(lookup->context, status == 0 && count > 0 ? peers : NULL,
                   status == 0 ? "no address" : uv_strerror(status));
    uv_freeaddrinfo(found);
    free(lookup);
}

/* Its owner may not be ready to hear of it before loop_lookup_open() has returned. */
static void
on_refused(void *context)
{
    struct loop_lookup *lookup = context;

    lookup->fn(lookup->context, NULL, uv_strerror(lookup->status));
    loop_timer_close(lookup->refused);
    free(lookup);
}

struct loop_lookup *
loop_lookup_open(struct loop *loop, const char *host, int port, loop_lookup_fn *fn, void *context)
{
    struct loop_lookup *lookup = need_memory(1, sizeof *lookup);
    struct addrinfo hints = {.ai_socktype = SOCK_DGRAM, .ai_family = AF_UNSPEC};
    char service[16];

    *lookup = (struct loop_lookup){.fn = fn, .context = context};
    lookup->uv.data = lookup;
    snprintf(service, sizeof service, "%d", port);
    lookup->status = uv_getaddrinfo(&loop->uv, &lookup->uv, on_lookup, host, service, &hints);
    if (lookup->status != 0) {
        lookup->refused = loop_timer_open(loop, on_refused, lookup);
        loop_timer_start(lookup->refused, 0, 0);
    }
    return lookup;
}

void
loop_lookup_cancel(struct loop_lookup *lookup)
{
    if (!lookup)
        return;
    if (lookup->refused) {
        loop_timer_close(lookup->refused);
        free(lookup);
        return;
    }
    lookup->fn = NULL;
    uv_cancel((uv_req_t *)&lookup->uv);
}
