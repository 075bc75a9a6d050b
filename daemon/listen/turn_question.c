/* SPDX-License-Identifier: MIT */
#include "listen/turn_question.h"

#include <stdio.h>
#include <string.h>

enum { ANSWER_MS = 400, APART_MS = 600, OTHERS_MOST = 10, ANSWERS = 2, TRIES = 4 };

void
turn_question_begin(struct turn_question *question, const char *address)
{
    *question = (struct turn_question){.tries = 0};
    if (address)
        snprintf(question->address, sizeof question->address, "%s", address);
}

void
turn_question_heard(struct turn_question *question, const char *address, int64_t now_ms)
{
    if (question->asked_ms == 0 || now_ms - question->asked_ms >= ANSWER_MS)
        return;
    if (strcmp(address, question->address) != 0) {
        question->others++;
        return;
    }
    question->answers += question->others <= OTHERS_MOST;
    question->asked_ms = now_ms - ANSWER_MS; /* each question has one answer */
}

bool
turn_question_is_due(struct turn_question *question, int64_t now_ms)
{
    if (!*question->address || question->answers == ANSWERS || question->tries == TRIES ||
        (question->tries > 0 && now_ms - question->asked_ms < APART_MS))
        return false;
    question->tries++;
    question->others = 0;
    question->asked_ms = now_ms;
    return true;
}

bool
turn_question_is_over(const struct turn_question *question, int64_t now_ms)
{
    return !*question->address || question->answers == ANSWERS ||
           (question->tries == TRIES && now_ms - question->asked_ms >= APART_MS);
}

bool
turn_question_is_answered(const struct turn_question *question)
{
    return question->answers == ANSWERS;
}
