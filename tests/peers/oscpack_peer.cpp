/* SPDX-License-Identifier: MIT */
// A desk, and an encoder and decoder, made with Debian's liboscpack: nothing of OSC is done here.
//
//   oscpack_peer desk TABLE   answers over UDP as TABLE says, on a port that the kernel chooses
//   oscpack_peer codec        lines "encode MESSAGES" and "decode HEX" on standard input
//
// Messages are in the line format of lines.py. A table has on each line a question and, behind
// "=>", its answers; several answers travel in one bundle. What is not in the table meets silence.
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <map>
#include <oscpack/ip/UdpSocket.h>
#include <oscpack/osc/OscOutboundPacketStream.h>
#include <oscpack/osc/OscPacketListener.h>
#include <stdexcept>
#include <string>
#include <vector>

using Words = std::vector<std::string>;

static const std::string NEXT = "\t=>\t";

static Words
split(const std::string &line, const std::string &separator)
{
    Words words;
    size_t from = 0, to;

    while ((to = line.find(separator, from)) != std::string::npos) {
        words.push_back(line.substr(from, to - from));
        from = to + separator.size();
    }
    words.push_back(line.substr(from));
    return words;
}

static std::string
to_hex(const void *bytes, size_t length)
{
    static const char digits[] = "0123456789abcdef";
    std::string hex;

    for (size_t i = 0; i < length; i++) {
        unsigned char byte = static_cast<const unsigned char *>(bytes)[i];

        hex += digits[byte >> 4];
        hex += digits[byte & 15];
    }
    return hex;
}

static std::string
from_hex(const std::string &hex)
{
    std::string bytes;

    for (size_t i = 0; i + 1 < hex.size(); i += 2)
        bytes += static_cast<char>(std::stoul(hex.substr(i, 2), nullptr, 16));
    return bytes;
}

static std::string
to_text(const char *format, double number)
{
    char text[32];

    snprintf(text, sizeof text, format, number);
    return text;
}

// ---- to OSC ----

static void
add_argument(osc::OutboundPacketStream &packet, char type, const std::string &text)
{
    std::string bytes;

    switch (type) {
    case 'i':
        packet << static_cast<osc::int32>(std::stol(text));
        break;
    case 'h':
        packet << static_cast<osc::int64>(std::stoll(text));
        break;
    case 'f':
        packet << std::strtof(text.c_str(), nullptr);
        break;
    case 'd':
        packet << std::strtod(text.c_str(), nullptr);
        break;
    case 's':
        packet << from_hex(text).c_str();
        break;
    case 'S':
        packet << osc::Symbol(from_hex(text).c_str());
        break;
    case 'b':
        bytes = from_hex(text);
        packet << osc::Blob(bytes.data(),
                            static_cast<osc::osc_bundle_element_size_t>(bytes.size()));
        break;
    case 't':
        packet << osc::TimeTag(std::stoull(text));
        break;
    case 'c':
        packet << static_cast<char>(std::stoi(text));
        break;
    case 'm':
        packet << osc::MidiMessage(static_cast<osc::uint32>(std::stoul(text)));
        break;
    case 'r':
        packet << osc::RgbaColor(static_cast<osc::uint32>(std::stoul(text)));
        break;
    case '[':
        packet << osc::BeginArray;
        break;
    case ']':
        packet << osc::EndArray;
        break;
    case 'T':
    case 'F':
        packet << (type == 'T');
        break;
    case 'N':
        packet << osc::OscNil;
        break;
    case 'I':
        packet << osc::Infinitum;
        break;
    default:
        throw std::runtime_error("no such type: " + std::string(1, type));
    }
}

static void
add_message(osc::OutboundPacketStream &packet, const std::string &message)
{
    Words words = split(message, "\t");

    packet << osc::BeginMessage(words[0].c_str());
    for (size_t i = 1; i < words.size(); i++)
        add_argument(packet, words[i].at(0), words[i].substr(1));
    packet << osc::EndMessage;
}

// One message as it is, several as a bundle.
static std::string
encode(const std::string &line)
{
    static char buffer[65536];
    osc::OutboundPacketStream packet(buffer, sizeof buffer);
    Words messages = split(line, NEXT);

    if (messages.size() == 1) {
        add_message(packet, messages[0]);
    } else {
        packet << osc::BeginBundleImmediate;
        for (const std::string &message : messages)
            add_message(packet, message);
        packet << osc::EndBundle;
    }
    return std::string(packet.Data(), packet.Size());
}

// ---- from OSC ----

static std::string
argument_text(const osc::ReceivedMessageArgument &argument)
{
    const void *bytes;
    osc::osc_bundle_element_size_t size;

    switch (argument.TypeTag()) {
    case 'i':
        return std::to_string(argument.AsInt32());
    case 'h':
        return std::to_string(argument.AsInt64());
    case 'f':
        return to_text("%.9g", argument.AsFloat());
    case 'd':
        return to_text("%.17g", argument.AsDouble());
    case 's':
        return to_hex(argument.AsString(), strlen(argument.AsString()));
    case 'S':
        return to_hex(argument.AsSymbol(), strlen(argument.AsSymbol()));
    case 'b':
        argument.AsBlob(bytes, size);
        return to_hex(bytes, size);
    case 't':
        return std::to_string(argument.AsTimeTag());
    case 'c':
        return std::to_string(argument.AsChar());
    case 'm':
        return std::to_string(argument.AsMidiMessage());
    case 'r':
        return std::to_string(argument.AsRgbaColor());
    default: // T F N I and the brackets of arrays carry nothing
        return "";
    }
}

static std::string
message_text(const osc::ReceivedMessage &message)
{
    std::string line = message.AddressPattern();

    for (auto at = message.ArgumentsBegin(); at != message.ArgumentsEnd(); ++at)
        line += std::string("\t") + at->TypeTag() + argument_text(*at);
    return line;
}

class Decoder : public osc::OscPacketListener
{
  public:
    std::string line;

  protected:
    void
    ProcessMessage(const osc::ReceivedMessage &message, const IpEndpointName &) override
    {
        line += (line.empty() ? "" : NEXT) + message_text(message);
    }
};

static std::string
decode(const std::string &bytes)
{
    Decoder decoder;

    decoder.ProcessPacket(bytes.data(), static_cast<int>(bytes.size()), IpEndpointName());
    return decoder.line;
}

// ---- the two uses ----

class Desk : public osc::OscPacketListener
{
  public:
    explicit Desk(const char *path)
        : socket(IpEndpointName("127.0.0.1", IpEndpointName::ANY_PORT), this)
    {
        std::ifstream table(path);
        std::string line;

        while (std::getline(table, line)) {
            size_t end = line.find(NEXT);

            answers[line.substr(0, end)] = encode(line.substr(end + NEXT.size()));
        }
    }

    void
    run()
    {
        socket.RunUntilSigInt();
    }

  protected:
    void
    ProcessMessage(const osc::ReceivedMessage &message, const IpEndpointName &peer) override
    {
        auto answer = answers.find(message_text(message));

        if (answer != answers.end())
            socket.SendTo(peer, answer->second.data(), answer->second.size());
    }

  private:
    UdpListeningReceiveSocket socket;
    std::map<std::string, std::string> answers;
};

static void
codec()
{
    std::string line;

    while (std::getline(std::cin, line)) {
        std::string rest = line.substr(line.find('\t') + 1);

        if (line.compare(0, 7, "encode\t") == 0) {
            std::string bytes = encode(rest);

            std::cout << to_hex(bytes.data(), bytes.size()) << "\n";
        } else {
            std::cout << decode(from_hex(rest)) << "\n";
        }
    }
}

int
main(int argc, char **argv)
{
    std::string use = argc > 1 ? argv[1] : "";

    if (use == "desk" && argc == 3) {
        Desk(argv[2]).run();
    } else if (use == "codec" && argc == 2) {
        codec();
    } else {
        std::cerr << "usage: oscpack_peer desk TABLE | codec\n";
        return 2;
    }
    return 0;
}
