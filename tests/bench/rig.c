/* SPDX-License-Identifier: MIT */
#include "rig.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>

int
rig_socket(struct sockaddr_in *address)
{
    int fd = socket(AF_INET, SOCK_DGRAM, 0);
    socklen_t size = sizeof *address;

    *address =
        (struct sockaddr_in){.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    if (fd < 0 || bind(fd, (struct sockaddr *)address, size) != 0 ||
        getsockname(fd, (struct sockaddr *)address, &size) != 0) {
        perror("bench: socket");
        exit(2);
    }
    return fd;
}

static void
put_word(uint8_t *at, uint32_t word)
{
    at[0] = (uint8_t)(word >> 24);
    at[1] = (uint8_t)(word >> 16);
    at[2] = (uint8_t)(word >> 8);
    at[3] = (uint8_t)word;
}

/* "/in/N/to/M/level" ,f 0..1: 20 + 4 + 4 bytes. */
static size_t
put_message(uint8_t *at, unsigned serial)
{
    unsigned send = serial % (RIG_INPUTS * RIG_MIXES);
    float value = 0.3F + 0.0001F * (float)(serial / (RIG_INPUTS * RIG_MIXES) % 1000);
    uint32_t word;

    memset(at, 0, 28);
    snprintf((char *)at, 20, "/in/%u/to/%u/level", send / RIG_MIXES + 1, send % RIG_MIXES + 1);
    memcpy(at + 20, ",f", 2);
    memcpy(&word, &value, sizeof word);
    put_word(at + 24, word);
    return 28;
}

void
rig_message(struct rig_datagram *datagram, unsigned serial)
{
    datagram->length = put_message(datagram->bytes, serial);
}

void
rig_bundle(struct rig_datagram *datagram, unsigned serial, int count)
{
    static const uint8_t head[16] = {'#', 'b', 'u', 'n', 'd', 'l', 'e', 0, 0, 0, 0, 0, 0, 0, 0, 1};

    memcpy(datagram->bytes, head, sizeof head);
    datagram->length = sizeof head;
    for (int i = 0; i < count; i++) {
        put_word(datagram->bytes + datagram->length, 28);
        put_message(datagram->bytes + datagram->length + 4, serial + (unsigned)i);
        datagram->length += 32;
    }
}

int64_t
rig_cpu_ns(void)
{
    struct timespec now;

    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return now.tv_sec * INT64_C(1000000000) + now.tv_nsec;
}
