/* SPDX-License-Identifier: MIT */
#include "bare_stage.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "unit.h"

static const double PI = 3.14159265358979323846;

/* Writes a text to a file; the name ends in XXXXXX until then. */
static void
write_text(char *name, const char *text)
{
    int fd = mkstemp(name);
    FILE *file = fd >= 0 ? fdopen(fd, "w") : NULL;

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

struct stage *
stage_before(const char *desk, const char *text)
{
    char name[] = "/tmp/stage-XXXXXX", desk_name[] = "/tmp/desk-XXXXXX";
    struct stage *stage;

    write_text(name, text);
    if (desk)
        write_text(desk_name, desk);
    stage = stage_open(desk ? desk_name : NULL, name);
    unlink(name);
    if (desk)
        unlink(desk_name);
    assert_non_null(stage);
    return stage;
}

struct stage *
stage_of(const char *text)
{
    return stage_before(NULL, text);
}

struct stage *
bare_stage(double delay_ms, double *raise_db)
{
    char text[600];
    struct stage *stage;
    double response[48000];

    /* 1.715 m are 5 ms and 240 samples at 343 m/s. */
    snprintf(text, sizeof text,
             "{\"stage\": 1, \"desk\": {\"latency_ms\": %g}, \"space\": {\"noise_spl\": \"-inf\"},"
             " \"microphones\": [{\"socket\": 1, \"position\": [0, 0, 1], \"faces\": [0, 1, 1],"
             " \"pattern\": \"omnidirectional\"}],"
             " \"loudspeakers\": [{\"mix\": 1, \"position\": [0, 1.715, 1], \"faces\": [0, 0, 1],"
             " \"low_hz\": 0, \"high_hz\": 0, \"beam\": \"none\"}]}",
             delay_ms - 5);
    stage = stage_of(text);
    assert_true(stage_set(stage, "input", "high_pass.on", 1, 0, 0));
    assert_true(stage_acoustic(stage, 1, 1, response, 48000));
    *raise_db = -response_db(response, 48000, 1000) - stage_get(stage, "input", "gain", 1, 0);
    return stage;
}

double
response_db(const double *response, int count, double hz)
{
    double real = 0, imaginary = 0;

    for (int i = 0; i < count; i++) {
        double phase = 2 * PI * hz * i / 48000;

        real += response[i] * cos(phase);
        imaginary -= response[i] * sin(phase);
    }
    return 10 * log10(real * real + imaginary * imaginary);
}

double
level_at_hz(const double *samples, int count, double hz)
{
    return response_db(samples, count, hz) - 20 * log10(count);
}
