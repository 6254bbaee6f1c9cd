package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// certificateLife is how long a certificate of our own holds; browsers refuse longer ones (825 days, from memory of their rules).
const certificateLife = 800 * 24 * time.Hour

// certificate loads the named certificate, or the one of our own in the folder of tanks, which is made when there is none or when it has
// run out. It also returns the SHA-256 fingerprint as browsers show it.
func (c *serveCommand) certificate(dir string) (tls.Certificate, string, error) {
	certFile, keyFile := c.Cert, c.Key
	if certFile == "" {
		certFile, keyFile = filepath.Join(dir, "certificate.pem"), filepath.Join(dir, "certificate-key.pem")
		if !stillGood(certFile) {
			if err := makeCertificate(certFile, keyFile, c.names()); err != nil {
				return tls.Certificate{}, "", fmt.Errorf("a certificate could not be made: %w", err)
			}
		}
	}
	cert, err := tls.LoadX509KeyPair(certFile, keyFile)
	if err != nil {
		return tls.Certificate{}, "", fmt.Errorf("the certificate cannot be read: %w", err)
	}
	sum := sha256.Sum256(cert.Certificate[0])
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return cert, strings.Join(pairs, ":"), nil
}

// names are the names that a certificate of our own is for.
func (c *serveCommand) names() []string {
	names := append([]string{"localhost", "127.0.0.1", "::1"}, c.Host...)
	if host, err := os.Hostname(); err == nil {
		names = append(names, host)
	}
	if ip := net.ParseIP(c.Bind); ip != nil && !ip.IsUnspecified() {
		return append(names, c.Bind)
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return names
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() {
			names = append(names, n.IP.String())
		}
	}
	return names
}

// stillGood tells whether a certificate is there and holds for another week.
func stillGood(file string) bool {
	raw, err := os.ReadFile(file)
	if err != nil {
		return false
	}
	block, _ := pem.Decode(raw)
	if block == nil {
		return false
	}
	cert, err := x509.ParseCertificate(block.Bytes)
	return err == nil && time.Now().Add(7*24*time.Hour).Before(cert.NotAfter)
}

func makeCertificate(certFile, keyFile string, names []string) error {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return err
	}
	t := x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "Littoral"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(certificateLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
	}
	for _, name := range names {
		if ip := net.ParseIP(name); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, name)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, &t, &t, &key.PublicKey, key)
	if err != nil {
		return err
	}
	packed, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	return errors.Join(
		os.WriteFile(keyFile, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: packed}), 0o600),
		os.WriteFile(certFile, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o644),
	)
}
