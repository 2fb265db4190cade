// One Wi-Fi channel in the ns-3 packet simulator: stations on a circle about each access point, UDP at a constant mean rate,
// fixed modes. Prints one case as JSON. Built and run by compare_contention.py; no part of the program.
#include "ns3/applications-module.h"
#include "ns3/core-module.h"
#include "ns3/internet-module.h"
#include "ns3/mobility-module.h"
#include "ns3/network-module.h"
#include "ns3/traffic-control-module.h"
#include "ns3/wifi-module.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

using namespace ns3;

// Sends datagrams with exponential gaps, and remembers when each left so that the receiver can tell its delay.
class Source : public Application
{
  public:
    void Set(Ptr<Socket> socket, Address peer, uint32_t octets, double mbps, int flow)
    {
        m_socket = socket;
        m_peer = peer;
        m_octets = octets;
        m_gap = CreateObject<ExponentialRandomVariable>();
        m_gap->SetAttribute("Mean", DoubleValue(8.0 * octets / (mbps * 1e6)));
        m_flow = flow;
    }

  private:
    void StartApplication() override
    {
        m_socket->Bind();
        m_socket->Connect(m_peer);
        Next();
    }
    void Send()
    {
        SeqTsHeader header;
        header.SetSeq(m_flow);
        auto packet = Create<Packet>(m_octets - header.GetSerializedSize());
        packet->AddHeader(header);
        m_socket->Send(packet);
        Next();
    }
    void Next()
    {
        Simulator::Schedule(Seconds(m_gap->GetValue()), &Source::Send, this);
    }
    Ptr<Socket> m_socket;
    Address m_peer;
    uint32_t m_octets{0};
    Ptr<ExponentialRandomVariable> m_gap;
    int m_flow{0};
};

static double g_from = 0;
static std::vector<double> g_octets;
static std::vector<std::vector<double>> g_delays;

static void
Received(Ptr<Socket> socket)
{
    while (auto packet = socket->Recv())
    {
        SeqTsHeader header;
        uint32_t size = packet->GetSize();
        packet->RemoveHeader(header);
        if (Simulator::Now().GetSeconds() < g_from)
            continue;
        g_octets.at(header.GetSeq()) += size;
        g_delays.at(header.GetSeq()).push_back((Simulator::Now() - header.GetTs()).GetSeconds());
    }
}

int
main(int argc, char* argv[])
{
    std::string std_ = "ax80", channel = "{42, 80, BAND_5GHZ, 0}", mode = "HeMcs11", slow = "", dir = "ul", label = "case";
    uint32_t n_ap = 1, n = 5, n_slow = 0, nss = 2, payload = 1472, ampdu = 65535, seed = 1;
    double mbps = 1000, slow_mbps = -1, seconds = 2, warm = 1.5, distance = 2, separation = 5;
    bool rts = false;
    CommandLine cmd;
    cmd.AddValue("label", "", label);
    cmd.AddValue("std", "", std_);
    cmd.AddValue("channel", "", channel);
    cmd.AddValue("mode", "", mode);
    cmd.AddValue("slow", "", slow);
    cmd.AddValue("n_slow", "", n_slow);
    cmd.AddValue("dir", "", dir);
    cmd.AddValue("n_ap", "", n_ap);
    cmd.AddValue("n", "", n);
    cmd.AddValue("nss", "", nss);
    cmd.AddValue("payload", "", payload);
    cmd.AddValue("ampdu", "", ampdu);
    cmd.AddValue("mbps", "offered, each station", mbps);
    cmd.AddValue("slow_mbps", "offered, each slow station", slow_mbps);
    cmd.AddValue("seconds", "", seconds);
    cmd.AddValue("warm", "", warm);
    cmd.AddValue("distance", "", distance);
    cmd.AddValue("separation", "", separation);
    cmd.AddValue("rts", "", rts);
    cmd.AddValue("seed", "", seed);
    cmd.Parse(argc, argv);
    RngSeedManager::SetSeed(seed);
    Config::SetDefault("ns3::HeConfiguration::GuardInterval", TimeValue(NanoSeconds(800)));
    Config::SetDefault("ns3::WifiMacQueue::MaxSize", StringValue("3000p"));
    Config::SetDefault("ns3::WifiMacQueue::MaxDelay", TimeValue(Seconds(5)));
    Config::SetDefault("ns3::WifiRemoteStationManager::RtsCtsThreshold", UintegerValue(rts ? 0 : 4692480));

    NodeContainer aps(n_ap), stations(n * n_ap);
    YansWifiChannelHelper air;
    air.SetPropagationDelay("ns3::ConstantSpeedPropagationDelayModel");
    air.AddPropagationLoss("ns3::LogDistancePropagationLossModel",
                           "Exponent", DoubleValue(3.0), "ReferenceDistance", DoubleValue(1.0), "ReferenceLoss", DoubleValue(46.7));
    YansWifiPhyHelper phy;
    phy.SetChannel(air.Create());
    phy.Set("ChannelSettings", StringValue(channel));
    phy.Set("Antennas", UintegerValue(nss));
    phy.Set("MaxSupportedTxSpatialStreams", UintegerValue(nss));
    phy.Set("MaxSupportedRxSpatialStreams", UintegerValue(nss));
    const std::map<std::string, WifiStandard> standards = {{"a", WIFI_STANDARD_80211a}, {"b", WIFI_STANDARD_80211b}, {"n", WIFI_STANDARD_80211n}, {"ac", WIFI_STANDARD_80211ac}, {"ax", WIFI_STANDARD_80211ax}};
    auto name = std_.substr(0, std_.find_first_of("0123456789"));
    WifiHelper wifi;
    wifi.SetStandard(standards.at(name));
    std::string control = name == "a" ? "OfdmRate6Mbps" : name == "b" ? "DsssRate1Mbps" : channel.find("2_4") != std::string::npos ? "ErpOfdmRate24Mbps" : "OfdmRate24Mbps";
    NetDeviceContainer devices;
    std::vector<NetDeviceContainer> of(n_ap);
    for (uint32_t a = 0; a < n_ap; ++a)
    {
        SsidValue ssid(Ssid("n" + std::to_string(a)));
        WifiMacHelper mac;
        // An access point sends to fast and slow stations at the fast mode, so that slow ones are for uplink only.
        wifi.SetRemoteStationManager("ns3::ConstantRateWifiManager", "DataMode", StringValue(mode), "ControlMode", StringValue(control));
        mac.SetType("ns3::ApWifiMac", "Ssid", ssid);
        auto ap = wifi.Install(phy, mac, aps.Get(a));
        devices.Add(ap);
        for (uint32_t i = 0; i < n; ++i)
        {
            wifi.SetRemoteStationManager("ns3::ConstantRateWifiManager", "DataMode", StringValue(i < n_slow ? slow : mode), "ControlMode", StringValue(control));
            mac.SetType("ns3::StaWifiMac", "Ssid", ssid);
            auto station = wifi.Install(phy, mac, stations.Get(a * n + i));
            devices.Add(station);
        }
    }
    for (uint32_t d = 0; d < devices.GetN(); ++d)
    {
        auto mac = DynamicCast<WifiNetDevice>(devices.Get(d))->GetMac();
        for (auto ac : {"BE"})
        {
            if (name != "a" && name != "b")
            {
                mac->SetAttribute(std::string(ac) + "_MaxAmpduSize", UintegerValue(ampdu));
                mac->SetAttribute(std::string(ac) + "_MaxAmsduSize", UintegerValue(0));
            }
        }
    }
    auto places = CreateObject<ListPositionAllocator>();
    for (uint32_t a = 0; a < n_ap; ++a)
    {
        places->Add(Vector(a * separation, 0, 0));
        for (uint32_t i = 0; i < n; ++i)
        {
            double angle = 2 * M_PI * i / n;
            places->Add(Vector(a * separation + distance * std::cos(angle), distance * std::sin(angle), 0));
        }
    }
    MobilityHelper mobility;
    mobility.SetPositionAllocator(places);
    mobility.SetMobilityModel("ns3::ConstantPositionMobilityModel");
    for (uint32_t d = 0; d < devices.GetN(); ++d)
        mobility.Install(devices.Get(d)->GetNode());
    InternetStackHelper internet;
    internet.Install(aps);
    internet.Install(stations);
    Ipv4AddressHelper addresses;
    addresses.SetBase("10.0.0.0", "255.255.0.0");
    auto interfaces = addresses.Assign(devices);
    // The queue is that of the MAC alone.
    TrafficControlHelper discipline;
    discipline.Uninstall(devices);
    NeighborCacheHelper neighbours;
    neighbours.PopulateNeighborCache();

    g_from = warm;
    int flow = 0;
    for (uint32_t a = 0; a < n_ap; ++a)
    {
        uint32_t base = a * (n + 1);
        for (uint32_t i = 0; i < n; ++i)
        {
            for (int down = 0; down < 2; ++down)
            {
                if ((down == 1 && dir == "ul") || (down == 0 && dir == "dl"))
                    continue;
                uint32_t from = down ? base : base + 1 + i, to = down ? base + 1 + i : base;
                uint16_t port = 9000 + flow;
                auto sink = Socket::CreateSocket(devices.Get(to)->GetNode(), UdpSocketFactory::GetTypeId());
                sink->Bind(InetSocketAddress(Ipv4Address::GetAny(), port));
                sink->SetRecvCallback(MakeCallback(&Received));
                auto source = CreateObject<Source>();
                auto socket = Socket::CreateSocket(devices.Get(from)->GetNode(), UdpSocketFactory::GetTypeId());
                double rate = i < n_slow && slow_mbps >= 0 ? slow_mbps : mbps;
                source->Set(socket, InetSocketAddress(interfaces.GetAddress(to), port), payload, rate, flow);
                devices.Get(from)->GetNode()->AddApplication(source);
                source->SetStartTime(Seconds(1.0 + 0.001 * flow));
                g_octets.push_back(0);
                g_delays.emplace_back();
                ++flow;
            }
        }
    }
    Simulator::Stop(Seconds(warm + seconds));
    auto begun = std::chrono::steady_clock::now();
    Simulator::Run();
    double wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    double sum = 0;
    std::string each, means, tails;
    for (int f = 0; f < flow; ++f)
    {
        double rate = g_octets[f] * 8 / seconds / 1e6;
        sum += rate;
        auto& delays = g_delays[f];
        std::sort(delays.begin(), delays.end());
        double mean = 0;
        for (double d : delays)
            mean += d / delays.size();
        double tail = delays.empty() ? 0 : delays[delays.size() * 95 / 100];
        auto add = [f](std::string& list, double value) { list += (f ? ", " : "") + std::to_string(value); };
        add(each, rate);
        add(means, mean * 1e3);
        add(tails, tail * 1e3);
    }
    std::printf("{\"label\": \"%s\", \"std\": \"%s\", \"channel\": \"%s\", \"dir\": \"%s\", \"n_ap\": %u, \"n_sta_per_ap\": %u, \"mode\": \"%s\", "
                "\"n_slow\": %u, \"slow_mode\": \"%s\", \"nss\": %u, \"gi_ns\": 800, \"rts\": %s, \"max_ampdu_bytes\": %u, \"max_amsdu_bytes\": 0, "
                "\"mpdu_buffer\": 0, \"txop_limit_us\": 0, \"udp_payload_bytes\": %u, \"offered_mbps\": %g, \"slow_offered_mbps\": %g, \"distance_m\": %g, "
                "\"ap_separation_m\": %g, \"measured_s\": %g, \"warmup_s\": %g, \"aggregate_mbps\": %.4f, \"per_station_mbps\": [%s], "
                "\"delay_mean_ms\": [%s], \"delay_p95_ms\": [%s], \"wall_s\": %.3f}\n",
                label.c_str(), std_.c_str(), channel.c_str(), dir.c_str(), n_ap, n, mode.c_str(), n_slow, slow.c_str(), nss, rts ? "true" : "false",
                ampdu, payload, mbps, slow_mbps, distance, separation, seconds, warm, sum, each.c_str(), means.c_str(), tails.c_str(), wall);
    Simulator::Destroy();
    return 0;
}
