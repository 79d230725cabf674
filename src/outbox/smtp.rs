//! One letter, one connection, one recipient: the conversation with a mail relay.

use super::letter::address;
use super::line::{Line, looked_up};
use super::outcome::{Fault, Sent, Step, Stopped, Tried, one_line};
use super::route::{Outgoing, Relay, Security};
use lettre::Address;
use lettre::transport::smtp::Error as SmtpError;
use lettre::transport::smtp::authentication::{Credentials, Mechanism};
use lettre::transport::smtp::client::{AsyncSmtpConnection, Certificate, TlsParameters};
use lettre::transport::smtp::commands::{Data, Mail, Rcpt};
use lettre::transport::smtp::extension::ClientId;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::time::Duration;
use tokio::time::timeout;

/// Parting words are not worth more.
const GOODBYE: Duration = Duration::from_secs(2);

/// Tries to hand one letter to the relay.
pub(super) async fn hand_over(relay: &Relay, letter: &Outgoing) -> Tried {
    // An address we cannot say aloud is this letter's own fault; that of the sender is everybody's.
    let recipient = match address("To", &letter.recipient) {
        Ok(recipient) => recipient,
        Err(fault) => {
            return Tried { sent: Sent::Refused { why: one_line(&fault.to_string()) }, relay_failing: false };
        }
    };
    let told = match address("From", &letter.sender) {
        Ok(sender) => converse(relay, sender, recipient, &letter.mail).await,
        Err(fault) => Err(settings(fault.to_string())),
    };
    match told {
        Ok(()) => Tried { sent: Sent::Accepted, relay_failing: false },
        Err(stopped) => stopped.judge(relay, letter),
    }
}

async fn converse(relay: &Relay, sender: Address, recipient: Address, mail: &[u8]) -> Result<(), Stopped> {
    let mut line = open(relay).await?;
    let told = deliver(relay, &mut line, sender, recipient, mail).await;
    // After a silence the line is in an unknown state and is dropped as it is; otherwise say goodbye.
    // Whatever the relay answers to that changes nothing.
    if !matches!(&told, Err(Stopped { fault: Fault::Silent(_), .. })) {
        drop(timeout(GOODBYE, line.quit()).await);
    }
    told
}

/// Connects, makes the line safe and logs in.
async fn open(relay: &Relay) -> Result<AsyncSmtpConnection, Stopped> {
    let name = ClientId::default();
    let limit = relay.connect_timeout;
    let tls = match relay.security {
        Security::StartTls | Security::ImplicitTls => Some(trusted(relay)?),
        Security::PlainLoopback => None,
    };
    let mut line = connect(relay, &name, tls.clone()).await?;
    if let (Security::StartTls, Some(tls)) = (relay.security, tls) {
        within(Step::StartTls, limit, line.starttls(tls, &name)).await?;
    }
    if let Some((user, password)) = &relay.login {
        let credentials = Credentials::new(user.clone(), password.reveal().to_owned());
        let ways = [Mechanism::Plain, Mechanism::Login];
        within(Step::Login, limit, line.auth(&ways, &credentials)).await?;
    }
    Ok(line)
}

async fn connect(
    relay: &Relay,
    name: &ClientId,
    tls: Option<TlsParameters>,
) -> Result<AsyncSmtpConnection, Stopped> {
    // One dead address of several (IPv6, often) must leave time for the next.
    let per_address = relay.connect_timeout / 2;
    let whole = relay.connect_timeout * 2;
    match relay.security {
        Security::StartTls => greeted(looked_up(&relay.host, relay.port), per_address, whole, name).await,
        // The mail library makes this line by itself. Its other end is one whose certificate we trust.
        Security::ImplicitTls => {
            let server = (relay.host.as_str(), relay.port);
            let greeting = AsyncSmtpConnection::connect_tokio1(server, Some(per_address), name, tls, None);
            within(Step::Greeting, whole, greeting).await
        }
        Security::PlainLoopback => {
            let here = loopback(relay)?;
            greeted(async { Ok(here) }, per_address, whole, name).await
        }
    }
}

/// A line up to the relay's answer to our greeting.
async fn greeted(
    addresses: impl Future<Output = Result<Vec<SocketAddr>, Fault>>,
    per_address: Duration,
    whole: Duration,
    name: &ClientId,
) -> Result<AsyncSmtpConnection, Stopped> {
    let greeting = async {
        let line = Line::call(&addresses.await?, per_address).await?;
        AsyncSmtpConnection::connect_with_transport(Box::new(line), name).await.map_err(Fault::Smtp)
    };
    let greeted = timeout(whole, greeting).await.unwrap_or(Err(Fault::Silent(whole)));
    greeted.map_err(|fault| Stopped { at: Step::Greeting, fault })
}

async fn deliver(
    relay: &Relay,
    line: &mut AsyncSmtpConnection,
    sender: Address,
    recipient: Address,
    mail: &[u8],
) -> Result<(), Stopped> {
    let limit = relay.connect_timeout;
    within(Step::Sender, limit, line.command(Mail::new(Some(sender), Vec::new()))).await?;
    within(Step::Recipient, limit, line.command(Rcpt::new(recipient, Vec::new()))).await?;
    within(Step::Data, limit, line.command(Data)).await?;
    within(Step::Letter, relay.after_dot_timeout, line.message(mail)).await?;
    Ok(())
}

/// The relay's certificate must name its host and be vouched for by the system or by the shop's own file.
fn trusted(relay: &Relay) -> Result<TlsParameters, Stopped> {
    let mut builder = TlsParameters::builder(relay.host.clone());
    if let Some(path) = &relay.extra_root {
        let unusable = |what: &str| settings(format!("certificate file {}: {what}", path.display()));
        let pem = std::fs::read(path).map_err(|error| unusable(&error.to_string()))?;
        if !pem.windows(27).any(|window| window == b"-----BEGIN CERTIFICATE-----") {
            return Err(unusable("holds no certificate in PEM form"));
        }
        let root = Certificate::from_pem(&pem).map_err(|error| unusable(&error.to_string()))?;
        builder = builder.add_root_certificate(root);
    }
    builder.build().map_err(|error| settings(error.to_string()))
}

/// The relay's addresses on this machine. The name is not looked up: a wrong answer would send mail in clear.
fn loopback(relay: &Relay) -> Result<Vec<SocketAddr>, Stopped> {
    let addresses = if relay.host.eq_ignore_ascii_case("localhost") {
        vec![IpAddr::V4(Ipv4Addr::LOCALHOST), IpAddr::V6(Ipv6Addr::LOCALHOST)]
    } else {
        relay.host.parse().ok().filter(IpAddr::is_loopback).into_iter().collect()
    };
    if addresses.is_empty() {
        return Err(settings(format!(
            "the relay {} is not on this machine, so its line must be protected: use TLS",
            one_line(&relay.host)
        )));
    }
    Ok(addresses.into_iter().map(|ip| SocketAddr::new(ip, relay.port)).collect())
}

fn settings(words: String) -> Stopped {
    Stopped { at: Step::Prepare, fault: Fault::Settings(words) }
}

async fn within<T>(
    at: Step,
    limit: Duration,
    answer: impl Future<Output = Result<T, SmtpError>>,
) -> Result<T, Stopped> {
    match timeout(limit, answer).await {
        Ok(answer) => answer.map_err(|error| Stopped { at, fault: Fault::Smtp(error) }),
        Err(_) => Err(Stopped { at, fault: Fault::Silent(limit) }),
    }
}
