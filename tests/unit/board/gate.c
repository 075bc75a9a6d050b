/* SPDX-License-Identifier: MIT */
/* Host and Origin, as a browser sends them (RFC 9110, 7.2; Fetch) and as it never would: whatever the
 * header holds, what is let in names the socket it came in at.
 */
#include "board/gate.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>

#include "unit.h"

enum { PORT = 29300, TEXT = 64 };

static struct sockaddr_storage
at(const char *address)
{
    struct sockaddr_storage own = {0};
    struct sockaddr_in6 *new = (struct sockaddr_in6 *)&own;
    struct sockaddr_in *old = (struct sockaddr_in *)&own;

    if (inet_pton(AF_INET, address, &old->sin_addr) == 1) {
        old->sin_family = AF_INET;
        old->sin_port = htons(PORT);
        return own;
    }
    assert_int_equal(inet_pton(AF_INET6, address, &new->sin6_addr), 1);
    new->sin6_family = AF_INET6;
    new->sin6_port = htons(PORT);
    return own;
}

static bool
lets_in(const char *host, const char *address, const char *name)
{
    struct sockaddr_storage own = at(address);

    return gate_host(host, (const struct sockaddr *)&own, name);
}

static const struct {
    const char *host, *own, *name;
    bool in;
} rows[] = {
    {"192.0.2.7:29300", "192.0.2.7", NULL, true},
    {"192.0.2.7", "192.0.2.7", NULL, false}, /* port 80 */
    {"192.0.2.7:29301", "192.0.2.7", NULL, false},
    {"192.0.2.8:29300", "192.0.2.7", NULL, false},
    {"127.0.0.1:29300", "192.0.2.7", NULL, false},
    {"localhost:29300", "192.0.2.7", NULL, false},
    {"[::ffff:192.0.2.7]:29300", "192.0.2.7", NULL, true}, /* the same address */
    {"rack.example:29300", "192.0.2.7", "rack.example", true},
    {"RACK.example:29300", "192.0.2.7", "rack.example", true},
    {"rack.example:1", "192.0.2.7", "rack.example", false},
    {"rack.example.evil:29300", "192.0.2.7", "rack.example", false},
    {"rack.example:29300", "192.0.2.7", NULL, false},
    {"[2001:db8::7]:29300", "2001:db8::7", NULL, true},
    {"[2001:DB8:0::7]:29300", "2001:db8::7", NULL, true},
    {"2001:db8::7:29300", "2001:db8::7", NULL, false},
    {"[2001:db8::8]:29300", "2001:db8::7", NULL, false},
    {"[192.0.2.7]:29300", "192.0.2.7", NULL, false},
    {"localhost:8000", "127.0.0.1", NULL, true}, /* a tunnel's other end */
    {"localhost", "::1", NULL, true},
    {"[::1]:8000", "127.0.0.1", NULL, true},
    {"192.0.2.7:29300", "127.0.0.1", NULL, false},
    {"localhost:", "127.0.0.1", NULL, false},
    {"localhost:80 ", "127.0.0.1", NULL, false},
    {"localhost:123456", "127.0.0.1", NULL, false},
    {"", "127.0.0.1", NULL, false},
    {"[", "127.0.0.1", NULL, false},
    {"[]", "127.0.0.1", NULL, false},
    {"[:", "127.0.0.1", NULL, false},
};

static void
test_hosts(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_row(rows[i].host, lets_in(rows[i].host, rows[i].own, rows[i].name), rows[i].in);
    assert_false(lets_in(NULL, "127.0.0.1", NULL));
}

static bool
begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* Of what is made of the parts of names: an address that is not loopback lets in none, for no part
 * has its port, and loopback only what begins as loopback does. */
static void
test_hosts_at_random(void **state)
{
    static const char *const parts[] = {"[",         "]",         ":",   ".",   "127.0.0.1",
                                        "192.0.2.7", "localhost", "::1", "80",  "1",
                                        "@",         "%",         " ",   "\xff"};
    struct dice dice = dice_new();
    int in = 0;

    (void)state;
    for (int round = 0; round < 200000; round++) {
        char host[TEXT] = "";

        for (int i = dice_below(&dice, 6); i > 0; i--)
            strcat(host, parts[dice_below(&dice, COUNT(parts))]);
        if (lets_in(host, "192.0.2.7", NULL))
            fail_msg("\"%s\" was let in", host);
        if (!lets_in(host, "127.0.0.1", NULL))
            continue;
        in++;
        if (!begins(host, "localhost") && !begins(host, "127.0.0.1") && !begins(host, "[::1"))
            fail_msg("\"%s\" was let in at loopback", host);
    }
    assert_true(in > 0);
}

static void
test_origins(void **state)
{
    static const char *const others[] = {
        "",       "null",     "http://",        "http://rack",    "https://rack:1",
        "rack:1", "http://x", "http://rack:12", "http://rack:1/", "http://rack:1 http://rack:1"};

    (void)state;
    assert_true(gate_origin("http://rack:1", "rack:1"));
    for (size_t i = 0; i < COUNT(others); i++)
        assert_row(others[i], gate_origin(others[i], "rack:1"), false);
    assert_false(gate_origin(NULL, "rack:1"));
    assert_false(gate_origin("http://rack:1", NULL));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hosts),
        cmocka_unit_test(test_hosts_at_random),
        cmocka_unit_test(test_origins),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
