/* SPDX-License-Identifier: MIT */
#include "excitation.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double SYLLABLES_HZ = 4; /* common practice, no source */

/*
 * P. Kellet's filter of white noise to pink, within 0.05 dB above 9 Hz (published on the music-dsp
 * list; from memory).
 */
static const struct {
    double keep, take;
} pink_rows[PINK_POLES] = {
    {0.99886, 0.0555179}, {0.99332, 0.0750759}, {0.96900, 0.1538520},
    {0.86650, 0.3104856}, {0.55000, 0.5329522}, {-0.7616, -0.0168980},
};

static double
pa_of(double spl)
{
    return 20e-6 * pow(10, spl / 20);
}

static double
pink_next(struct pink *pink, double white)
{
    double sum = pink->late + 0.5362 * white;

    for (size_t i = 0; i < PINK_POLES; i++) {
        pink->poles[i] = pink_rows[i].keep * pink->poles[i] + pink_rows[i].take * white;
        sum += pink->poles[i];
    }
    pink->late = 0.115926 * white;
    return sum;
}

/* rms of white noise from -1 to 1 behind the filter, from its impulse response. */
static double
pink_rms(void)
{
    struct pink pink = {0};
    double energy = 0;

    for (int i = 0; i < 100000; i++) {
        double out = pink_next(&pink, i == 0);

        energy += out * out;
    }
    return sqrt(energy / 3);
}

/*
 * Speech falls off above 500 Hz and below 100 (ANSI S3.5's long-term spectrum in rough; from
 * memory).
 */
static void
set_voice(struct voice *voice)
{
    struct biquad sections[BUTTERWORTH] = {0};

    biquads_high_pass(sections, 2, 100);
    voice->high = sections[0];
    biquad_shape(&voice->low, BIQUAD_LOW_PASS, 700, 0, 0.5);
}

static void
voice_run(struct voice *voice, double block[BLOCK])
{
    biquad_run(&voice->high, block, BLOCK);
    biquad_run(&voice->low, block, BLOCK);
}

static double
voice_rms(void)
{
    struct voice voice = {0};
    double energy = 0;

    set_voice(&voice);
    for (int n = 0; n < 1000; n++) {
        double block[BLOCK] = {n == 0};

        voice_run(&voice, block);
        for (size_t i = 0; i < BLOCK; i++)
            energy += block[i] * block[i];
    }
    return sqrt(energy / 3 * 3 / 8); /* 3/8: the mean square of a syllable's raised cosine */
}

bool
excitation_init(struct excitation *excitation, const struct scene *scene, const struct air *air)
{
    bool fine = true;

    *excitation = (struct excitation){.air = air};
    excitation->pink_scale = 1 / pink_rms();
    excitation->voice_scale = 1 / voice_rms();
    excitation_noise(excitation, scene->space.noise_spl);
    for (size_t i = 0; i < air->microphones; i++) {
        excitation->pink[i].chance.state = scene->space.seed * 8192 + 2 * i;
        excitation->voices[i].chance.state = scene->space.seed * 8192 + 2 * i + 1;
        set_voice(&excitation->voices[i]);
        excitation_talk(excitation, i, scene->microphones[i].talker_spl);
        fine &= delay_init(&excitation->voices[i].said, air->longest);
    }
    return fine;
}

void
excitation_release(struct excitation *excitation)
{
    for (size_t i = 0; i < SCENE_MICROPHONES; i++) {
        delay_release(&excitation->voices[i].said);
        free(excitation->played[i].samples);
    }
}

void
excitation_noise(struct excitation *excitation, double spl)
{
    excitation->noise_pa = pa_of(spl);
}

void
excitation_talk(struct excitation *excitation, size_t microphone, double spl)
{
    excitation->voices[microphone].pa = pa_of(spl);
}

bool
excitation_play(struct excitation *excitation, size_t microphone, const double *samples,
                size_t count)
{
    struct played *played = &excitation->played[microphone];

    free(played->samples);
    *played = (struct played){.samples = calloc(count + 1, sizeof *samples)};
    if (!played->samples)
        return false;
    memcpy(played->samples, samples, count * sizeof *samples);
    played->count = count;
    return true;
}

static void
speak(struct excitation *excitation, size_t talker)
{
    struct voice *voice = &excitation->voices[talker];
    double said[BLOCK] = {0};

    for (size_t i = 0; voice->pa > 0 && i < BLOCK; i++) {
        double seconds = ((double)excitation->block * BLOCK + (double)i) / SAMPLE_RATE;
        double phase = 2 * PI * SYLLABLES_HZ * seconds + (double)talker;

        said[i] = voice->pa * excitation->voice_scale * (0.5 - 0.5 * cos(phase)) *
                  chance_between(&voice->chance, -1, 1);
    }
    voice_run(voice, said);
    delay_next(&voice->said);
    delay_write(&voice->said, said);
}

void
excitation_hear(const struct excitation *excitation, size_t receiver, double out[BLOCK])
{
    for (size_t talker = 0; talker < excitation->air->microphones; talker++) {
        const struct plain_tap *tap = excitation->air->from_mouth[receiver][talker].plain;
        const double *heard = delay_read(&excitation->voices[talker].said, tap->delay);

        for (size_t i = 0; i < BLOCK; i++)
            out[i] += tap->factor * heard[i];
    }
}

static void
add_noise(struct excitation *excitation, size_t microphone, double out[BLOCK])
{
    struct pink *pink = &excitation->pink[microphone];
    double scale =
        excitation->noise_pa * excitation->pink_scale * excitation->air->per_pa[microphone];

    for (size_t i = 0; scale > 0 && i < BLOCK; i++)
        out[i] += scale * pink_next(pink, chance_between(&pink->chance, -1, 1));
}

static void
add_played(struct played *played, double out[BLOCK])
{
    for (size_t i = 0; i < BLOCK && played->next < played->count; i++)
        out[i] += played->samples[played->next++];
}

void
excitation_next(struct excitation *excitation, double sockets[][BLOCK])
{
    for (size_t i = 0; i < excitation->air->microphones; i++)
        speak(excitation, i);
    excitation->block++;
    for (size_t i = 0; i < excitation->air->microphones; i++) {
        memset(sockets[i], 0, BLOCK * sizeof sockets[i][0]);
        add_noise(excitation, i, sockets[i]);
        excitation_hear(excitation, i, sockets[i]);
        add_played(&excitation->played[i], sockets[i]);
    }
}
