/* SPDX-License-Identifier: MIT */
#include "console.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool
console_init(struct console *console, const struct state *state, const struct scene *scene)
{
    *console = (struct console){
        .state = state,
        .inputs = state->counts[COUNT_INPUTS],
        .mixes = state->counts[COUNT_MIXES],
        .clips = true,
        .raise = 1,
    };
    console->input = calloc(console->inputs, sizeof *console->input);
    console->mix = calloc(console->mixes, sizeof *console->mix);
    console->sends = calloc(console->inputs * console->mixes, sizeof *console->sends);
    if (!console->input || !console->mix || !console->sends)
        return false;
    console_set(console, scene, true);
    return true;
}

void
console_release(struct console *console)
{
    free(console->input);
    free(console->mix);
    free(console->sends);
}

/* out = in times the ramp, on its way; `out` may be `in`. */
static void
turn(const struct ramp *ramp, const double *in, double *out)
{
    double step = (ramp->to - ramp->now) / BLOCK;

    for (size_t i = 0; i < BLOCK; i++)
        out[i] = in[i] * (ramp->now + step * (double)(i + 1));
}

static void
arrive(struct ramp *ramp)
{
    ramp->now = ramp->to;
}

static void
clip(struct console *console, double block[BLOCK])
{
    for (size_t i = 0; console->clips && i < BLOCK; i++)
        if (fabs(block[i]) > 1) {
            block[i] = block[i] > 0 ? 1 : -1;
            console->clipped = true;
        }
}

static void
run_chain(struct chain *chain, double block[BLOCK])
{
    for (size_t i = 0; i < CONSOLE_BANDS; i++)
        if (chain->used[i])
            biquad_run(&chain->biquads[i], block, BLOCK);
}

/* Adds to a mix what one send brings it, from the signal at its tap. */
static void
feed(const struct send_strip *send, const double taps[3][BLOCK], double out[BLOCK])
{
    double block[BLOCK];

    turn(&send->level, taps[send->tap], block);
    for (size_t i = 0; i < BLOCK; i++)
        out[i] += block[i];
}

static void
run_input(struct console *console, size_t input, const double socket[BLOCK])
{
    struct input_strip *strip = &console->input[input];
    double taps[3][BLOCK]; /* pre-eq, pre-fader, post-fader */

    turn(&strip->head, socket, strip->heads);
    clip(console, strip->heads);
    turn(&strip->trim, strip->heads, taps[0]);
    turn(&strip->makeup, taps[0], taps[1]);
    run_chain(&strip->chain, taps[1]);
    turn(&strip->post, taps[1], taps[2]);
    arrive(&strip->head);
    arrive(&strip->trim);
    arrive(&strip->makeup);
    arrive(&strip->post);
    for (size_t mix = 0; mix < console->mixes; mix++) {
        struct send_strip *send = &console->sends[input * console->mixes + mix];

        if (console->mix[mix].used && (send->level.now != 0 || send->level.to != 0))
            feed(send, (const double(*)[BLOCK])taps, console->mix[mix].before);
        arrive(&send->level);
    }
}

static void
run_mix(struct console *console, struct mix_strip *strip)
{
    run_chain(&strip->chain, strip->before);
    turn(&strip->master, strip->before, strip->before);
    arrive(&strip->master);
    memcpy(strip->out, strip->before, sizeof strip->out);
    clip(console, strip->out);
}

void
console_run(struct console *console, const double sockets[][BLOCK])
{
    console->clipped = false;
    for (size_t mix = 0; mix < console->mixes; mix++)
        memset(console->mix[mix].before, 0, sizeof console->mix[mix].before);
    for (size_t input = 0; input < console->inputs; input++)
        if (console->input[input].microphone >= 0)
            run_input(console, input, sockets[console->input[input].microphone]);
    for (size_t mix = 0; mix < console->mixes; mix++)
        if (console->mix[mix].used)
            run_mix(console, &console->mix[mix]);
}

void
console_settle(struct console *console)
{
    for (size_t i = 0; i < console->inputs; i++) {
        arrive(&console->input[i].head);
        arrive(&console->input[i].trim);
        arrive(&console->input[i].makeup);
        arrive(&console->input[i].post);
    }
    for (size_t i = 0; i < console->mixes; i++)
        arrive(&console->mix[i].master);
    for (size_t i = 0; i < console->inputs * console->mixes; i++)
        arrive(&console->sends[i].level);
}

static void
scale_chain(struct chain *chain, double factor)
{
    for (size_t i = 0; i < CONSOLE_BANDS; i++) {
        chain->biquads[i].z1 *= factor;
        chain->biquads[i].z2 *= factor;
    }
}

void
console_scale(struct console *console, double factor)
{
    for (size_t input = 0; input < console->inputs; input++)
        scale_chain(&console->input[input].chain, factor);
    for (size_t mix = 0; mix < console->mixes; mix++)
        scale_chain(&console->mix[mix].chain, factor);
}
