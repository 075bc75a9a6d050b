/* SPDX-License-Identifier: MIT */
#include "base/clock.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double stands_at_s = -1; /* of a replay; below 0: it goes on */

void
clock_stand_at(double s)
{
    stands_at_s = s;
}

time_t
clock_now(void)
{
    return stands_at_s >= 0 ? (time_t)stands_at_s : time(NULL);
}

double
clock_now_s(void)
{
    struct timespec now = {0};

    if (stands_at_s >= 0)
        return stands_at_s;
    clock_gettime(CLOCK_REALTIME, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

int64_t
clock_grown_ms(void)
{
    struct timespec now = {0};

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static struct tm
local_ago(long long seconds)
{
    time_t then = clock_now() - (time_t)seconds;
    struct tm parts = {0};

    localtime_r(&then, &parts);
    return parts;
}

static struct tm
local(void)
{
    return local_ago(0);
}

const char *
clock_rfc3339(char buffer[CLOCK_SIZE])
{
    return clock_rfc3339_ago(0, buffer);
}

const char *
clock_rfc3339_ago(long long ms, char buffer[CLOCK_SIZE])
{
    struct tm parts = local_ago((ms + 500) / 1000);
    size_t length = strftime(buffer, CLOCK_SIZE, "%Y-%m-%dT%H:%M:%S%z", &parts);

    /* strftime writes +0200; RFC 3339 wants +02:00 */
    if (length >= 5 && length + 1 < CLOCK_SIZE) {
        memmove(buffer + length - 1, buffer + length - 2, 3);
        buffer[length - 2] = ':';
    }
    return buffer;
}

const char *
clock_time(char buffer[CLOCK_SIZE])
{
    return clock_time_ago(0, buffer);
}

const char *
clock_time_ago(long long ms, char buffer[CLOCK_SIZE])
{
    struct tm parts = local_ago((ms + 500) / 1000);

    strftime(buffer, CLOCK_SIZE, "%H:%M:%S", &parts);
    return buffer;
}

const char *
clock_time_at(double s, char buffer[CLOCK_SIZE])
{
    time_t then = (time_t)s;
    struct tm parts = {0};

    localtime_r(&then, &parts);
    strftime(buffer, CLOCK_SIZE, "%H:%M:%S", &parts);
    return buffer;
}

int
clock_offset_s(void)
{
    struct tm parts = local();
    char text[8];
    int number;

    strftime(text, sizeof text, "%z", &parts); /* +hhmm */
    number = atoi(text);
    return number / 100 * 3600 + number % 100 * 60;
}

void
clock_set_offset(int offset_s)
{
    int minutes = abs(offset_s) / 60;
    char zone[24];

    /* POSIX counts westwards */
    snprintf(zone, sizeof zone, "<here>%s%d:%02d", offset_s > 0 ? "-" : "", minutes / 60,
             minutes % 60);
    setenv("TZ", zone, 1);
    tzset();
}

int
clock_day(void)
{
    struct tm parts = local();

    return clock_day_of(&parts);
}

int
clock_day_of(const struct tm *parts)
{
    return (parts->tm_year + 1900) * 10000 + (parts->tm_mon + 1) * 100 + parts->tm_mday;
}

const char *
clock_span(long long ms, char buffer[CLOCK_SIZE])
{
    long long seconds = (ms + 500) / 1000;

    if (ms < 9950)
        snprintf(buffer, CLOCK_SIZE, "%.1f s", (double)ms / 1000);
    else if (seconds < 60)
        snprintf(buffer, CLOCK_SIZE, "%lld s", seconds);
    else if (seconds < 3600)
        snprintf(buffer, CLOCK_SIZE, "%lld min %02lld s", seconds / 60, seconds % 60);
    else
        snprintf(buffer, CLOCK_SIZE, "%lld h %02lld min", seconds / 3600, seconds / 60 % 60);
    return buffer;
}

static int
days_in(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int leap = month == 2 && ((year % 4 == 0 && year % 100 != 0) || year % 400 == 0);

    return days[month - 1] + leap;
}

bool
clock_has_form(const char *text, const char *form)
{
    for (; *form; form++, text++)
        if (*form == 'd'   ? !isdigit((unsigned char)*text)
            : *form == 's' ? *text != '+' && *text != '-'
                           : *text != *form)
            return false;
    return *text == '\0';
}

int
clock_parse_day(const char *text)
{
    int year, month, day;

    if (!clock_has_form(text, "dddd-dd-dd"))
        return 0;
    year = atoi(text);
    month = atoi(text + 5);
    day = atoi(text + 8);
    if (year < 2000 || month < 1 || month > 12 || day < 1 || day > days_in(year, month))
        return 0;
    return year * 10000 + month * 100 + day;
}

long long
clock_parse_time(const char *text)
{
    int year = atoi(text), month = atoi(text + 5), day = atoi(text + 8);
    int zone_min = (atoi(text + 20) * 60 + atoi(text + 23)) * (text[19] == '-' ? -1 : 1);
    long long days = 0, minutes;

    for (int one = 1970; one < year; one++)
        days += days_in(one, 2) == 29 ? 366 : 365;
    for (int one = 1; one < month; one++)
        days += days_in(year, one);
    minutes = ((days + day - 1) * 24 + atoi(text + 11)) * 60 + atoi(text + 14) - zone_min;
    return minutes * 60 + atoi(text + 17);
}
